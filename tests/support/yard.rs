//! Boat files of the boats that stand in a yard: each of a kind, with that kind's measures, decks and gear.
//!
//! A boat is made from a row of numbers between 0 and 1, each standing for one decision; low ones make the plainest
//! boat. All of it is invented: the ranges are those of boats in general, and no boat is anybody's.

/// Numbers that one boat uses at most.
pub const DECISIONS: usize = 40;

/// A boat file, and the kind of boat that it describes.
#[derive(Debug, Clone)]
pub struct Drawn {
    pub kind: &'static str,
    pub text: String,
}

/// Kinds of boats, as statements. Feet, degrees; stations forward of the transom, heights over the keel.
///
/// - `x = VALUE` sets a measure. Each kind sets L and B (length and beam), S, M and W (sheer at stern, middle and bow), F
///   (sole) and, unless its deck is a rectangle, G and T (fullness of the bow, transom beam).
/// - The words of [`ROWS`] are one row of the file: a hull; a bow `eye`, stern `eyes`, a pair of cleats, a rail to `tie`
///   straps to; a mast that is up or `laid` down, a `wire` through the film.
/// - `Seat NAME | from to | width aft, fore | base, top aft, fore` is a box of that kind, and `footing NAME | from to | width
///   | height` a place for posts, `hatch` one for none. `at VALUE` puts it to port, `pair VALUE` one to either side,
///   `lean` rakes it aft, fore and to the side.
/// - `tube KIND NAME | inches | points` is a tube and its mirror image.
/// - `case P` begins what this part of all boats has, up to the next case or `end`; `do NAME` takes in one of [`PARTS`].
///
/// A value is a sum of terms such as `.5L`, `2~3` (drawn between the two), `@x` (the sheer at station x) and `2%x` (twice
/// the half breadth there).
const KINDS: &str = "
* skiff
L = 9~16; B = .257L+1.7~2.1; S = .057L+.9~1.1; M = 1.01~1.09S; W = 1.3~1.4S; F = .12S
G = .53~.67; T = .9B; Flat .8B G T 33~43 10~14; do thwarts; footing sole | .06L .84L | .6B | F; tie gunwale | .04L .9L | 0
* jon boat
L = 10~18; B = .25L+1.7~2.1; S = .05L+.9~1.1; M = .96~1.04S; W = 1.13~1.23S; F = .14S; a = .42~.5L
G = .77~.99; T = .97B; Flat .78B G T 44~56 8~12; case .85; do motor; end; Seat middle bench | a a+1 | .9B | F F+1.1
footing sole | .22L .68L | .6B | F; footing stern deck | .3 .2L | .75B | F+1
footing casting deck | .7L .92L | .55B | F+1; do small cleats; do eyes
* aluminum skiff
L = 12~18; B = .333L+.7~1.1; S = .1L+.5~.7; M = 1.04~1.12S; W = 1.36~1.48S; F = .19~.21S; G = .41~.53; T = .92B
V 7~9 31~37 .84B G T 26~34 6~10; do thwarts; footing sole | .06L .84L | .55B | F; do small cleats
* runabout
L = 15~21; B = .317L+1.3~1.8; S = .15L+.1~.4; M = 1.02~1.1S; W = 1.22~1.32S; F = .42~.46S; do planing hull
g = .55~.62L; r = 1.1~1.5; do glass; do stern; case .6; Seat seat | b-3.2 b-1.4 | 1.7 | F F+2.4 | pair .22B; end
footing cockpit sole | a+.1 b | .6B | F; h = g+.3; footing foredeck | h .9L | .3B | @h; do moored
* bowrider
L = 17~25; B = .175L+3.9~4.5; S = .112L+.9~1.3; M = 1.02~1.1S; W = 1.2~1.3S; F = .4~.44S; do open bow hull
g = .55~.61L; r = 1.1~1.5; do glass; do stern; do open bow; case .35
tube Tower tower | 2.5 | b+.4 %b-.3 @b | b-1.8 .37B F+6.2 | b-2.3 .2B F+6.8 | b-2.3 0 F+7
tube Tower tower brace | 2 | b-4.2 %b-.3 @b-.1 | b-1.9 .37B F+6; end
* dual console
L = 17~28; B = .191L+3.9~4.6; S = .118L+.8~1.2; M = 1.05~1.13S; W = 1.25~1.35S; F = .41~.45S; do open bow hull
g = .55~.61L; r = 1.3~1.7; do glass; do outboard; do open bow; Console console | g-2.2 g-.2 | 2.2 | F @b+.4 | pair .27B
case .25; Hardtop hardtop | b-2 b+3.5 | .7B | F+6.7 F+6.9; tube Tower aft leg | 2 | b-1.4 .36B @b | b-1.4 .33B F+6.7
tube Tower fore leg | 2 | b+2.6 .36B @b | b+2.6 .33B F+6.7; end
* center console
L = 16~25; B = .189L+3.7~4.3; S = .133L+.3~.7; M = 1.08~1.16S; W = 1.32~1.44S; F = .44~.48S
do planing hull; do motor; do console; do moored
* center console
L = 25~36; B = .236L+2.3~3.1; S = .073L+1.7~2.2; M = 1.08~1.16S; W = 1.31~1.41S; F = .44~.48S; do planing hull
case .3; Motor three motors | -2.6 -.08 | 6.2 | .42S S+1.1 S+1.6 | lean 10 0 14
case .7; Motor two motors | -2.5 -.08 | 4.2 | .42S S+1 S+1.5 | lean 10 0 14; end; do console; do large moored
* bass boat
L = 16~21; B = .18L+4~4.6; S = .08L+.4~.6; M = 1.04~1.12S; W = 1.2~1.3S; F = .4~.44S; G = .48~.62; T = .95B
V 14~18 32~36 .84B G T 31~39 6~10; c = .5~.54L; Seat bench | c-3.6 c-1.7 | .64B | F F+1.8
case .3; Console console | c c+1.3 | 2 | F F+2.3 | pair .24B
Windshield windshield | c+.6 c+1.1 | 1.7 | F+2.3 F+2.8 | pair .24B | lean 0 30 0
case .7; Console console | c c+1.3 | 2.1 | F F+2.3 | at -.23B
Windshield windshield | c+.6 c+1.1 | 1.8 | F+2.3 F+2.8 | at -.23B | lean 0 30 0; end
case .6; Motor motor | -2.9 -.6 | 1.6 | .5S S+1.2 S+1.6 | lean 12 0 8; Other jack plate | -.65 0 | .9 | .2S .75S
case .4; do motor; end; footing aft casting deck | .4 c-3.7 | .66B | .94S
footing cockpit sole | c-1.6 .62L | .28B | F; footing bow casting deck | .64L .92L | .32B | .97M; do moored
* cuddy cruiser
L = 18~27; B = .167L+4.2~4.8; S = .122L+1~1.4; M = 1.05~1.13S; W = 1.25~1.35S; F = .42~.46S; do planing hull
g = .57~.63L; r = 1.5~2.1; do long glass; case .3; do motor; case .7; do drive; end
Seat stern bench | .6 2.5 | .72B | F F+1.7; Seat helm seat | b-2.4 b-.8 | 1.8 | F F+3 | at -.23B
footing cockpit sole | 2.6 b | .5B | F; p = g+.3; j = .7~1.3; do bow rail; do moored; case .35
tube Arch radar arch | 3 | b-3.6 %b-.3 @b-.1 | b-5 .39B F+5.8 | b-5.3 .22B F+6.3 | b-5.3 0 F+6.4; end
* express cruiser
L = 24~42; B = .267L+1.8~2.6; S = .094L+1.7~2.4; M = 1.06~1.14S; W = 1.29~1.39S; F = .48~.52S; do planing hull
g = .55~.6L; r = 2~2.8; do long glass; do drive; Seat helm seat | b-2.6 b-1 | 2.6 | F F+3.4 | at -.25B
Seat stern bench | .7 2.9 | .66B | F F+2; case .4; Seat lounge | 4 b-3.5 | 2 | F F+1.8 | at .3B; end
footing cockpit sole | 3 b | .5B | F; p = g+.3; j = 1.7~2; do bow rail; do large moored
case .3; Hardtop hardtop | b-3.5 b+1.6 | .72B .64B | @b+r+.7 @b+r+1
tube Arch hardtop leg | 3 | b-2.4 %b-.3 @b | b-2.9 .34B @b+r+.7
case .5; tube Arch arch | 4 | b-3 %b-.3 @b-.1 | b-4.6 .37B F+6 | b-4.9 .18B F+6.6 | b-4.9 0 F+6.8; end
* flybridge cruiser
L = 28~45; B = .259L+2.6~3.7; S = .076L+2.4~3.1; M = 1.08~1.18S; W = 1.36~1.48S; F = .52~.56S; do planing hull
a = .24~.28L; e = .6~.64L; t = @a+3.7~4.1; u = e-2; v = .86L; h = v+.2; p = u; j = 2.2~2.5; do bow rail
Cabin saloon | a e | 2%a-2.8 2%e-2.8 | @a t | lean 0 45 6
Cabin trunk | u v | 2%u-4.4 2%v-2.8 | @u @u+1.4~1.8 | lean 0 50 20
Flybridge flybridge deck | a-.07L e-.09L | .73B .6B | t-.15 t+.25
Console flybridge helm | .46L .46L+2 | 3 | t+.25 t+3.4 | at -.12B | lean 0 20 0
Seat helm bench | .36L .36L+1.8 | 3.3 | t+.25 t+2.5 | at -.12B
tube Rail flybridge coaming | 3 | a-.05L 0 t+2.5 | a-.05L .34B t+2.5 | .41L .31B t+2.7 | .5L .21B t+2.9 | .515L 0 t+2.9
case .3; tube Arch radar arch | 3 | a+1 .34B t+2.5 | a-.4 .28B t+5 | a-.6 .14B t+5.4 | a-.6 0 t+5.5; end
case .7; Platform swim platform | -2~3.5 0 | .86B | .25S .25S+.3; end; footing foredeck | h .95L | .2B | @h-.1
footing cockpit sole | .03L a-.2 | .62B | F; footing side deck | a e | .9 | @a | pair %e-.75; do large moored
* trawler
L = 30~45; B = .227L+3.7~4.7; S = .093L+2.1~2.9; M = 1.01~1.09S; W = 1.36~1.48S; F = .84~.92S
G = .4~.52; T = .83B; RoundBilge .53~.67 12 G T 21~27 4~6; a = .38~.41L; e = .59~.63L; v = .81L; c = .1L; d = a-.5
Cabin pilothouse | a e | 2%a-3.8 2%e-3.6 | S S+6.3~6.8 | lean -3 -4 4
Cabin trunk | e v | 2%e-4.4 2%v-3.4 | @e-.2 @e+1.5~1.9 | lean 0 35 10
case .5; Cabin aft cabin | c d | 2%c-3.2 2%d-3.6 | F+.3 F+2.7 | lean 8 0 6; footing after deck | .02L c-.2 | .5B | F
tube Rail stern rail | 1.25 | .16L .46B S+2.2 | .03L .39B S+2.4 | .015L .34B S+2.4 | .015L .12B S+2.4
case .5; footing cockpit sole | .03L d | .62B | .66F; end; footing side deck | a e | .9 | @a | pair %e-.75
case .4; mast d+.2 | 5; wire port shroud | d-.4 | .45B | 1; wire starboard shroud | d-.4 | -.45B | 1; end
h = v+.2; footing foredeck | h .94L | .2B | @h-.2; p = e+.5; j = 2.2~2.5; do bow rail; do large moored
* lobster boat
L = 22~42; B = .26L+2.6~3.5; S = .1L+1.1~1.7; M = 1.05~1.13S; W = 1.52~1.64S; F = .54~.58S
G = .37~.47; T = .86B; RoundBilge .48~.62 12 G T 18~22 5~7; a = .5~.55L; e = a+.17~.21L; do house; do large moored
case .5; Other engine box | .3L .44L | .28B | F F+1.9; end; tie toe rail | a .94L | 0
case .5; Other hauler post | a-.9 a-.4 | .7 | @a-.2 @a+1.8 | at -.4B; end
* pilothouse boat
L = 20~30; B = .2L+3.6~4.4; S = .12L+.6~1; M = 1.1~1.2S; W = 1.44~1.56S; F = .46~.5S; do planing hull; do motor
a = .4~.45L; e = a+.22~.27L; do house; case .3; wire antenna | a+1 | .25B | 1; end
p = e+.3; j = 1~1.6; do bow rail; do moored
* pontoon
L = 16~26; B = .06L+6.7~7.4; S = .04L+1.6~1.9; M = S; W = S; F = S; Tubes 2 12S-8; do fenced deck
* tritoon
L = 20~30; B = .01L+8~8.6; S = .04L+1.7~2.1; M = S; W = S; F = S; Tubes 3 12S-8; do fenced deck
case .3; tube Arch tow arch | 2.5 | c+1.4 h d | c+.1 .39B F+5.6 | c-.4 .2B F+6.2 | c-.4 0 F+6.4; end
* inflatable
L = 9~13; B = .3L+.5~.9; S = .1L+.1~.3; M = 1.04~1.12S; W = 1.36~1.48S; F = .38~.42S; do planing hull; do buoyancy
case .6; Seat thwart | .36L .36L+.8 | .8B | F+.6 F+1; end; case .6; do motor; end; footing floor | .06L .8L | .55B | F
* inflatable
L = 14~26; B = .217L+1.5~2; S = .092L+.2~.4; M = 1.04~1.12S; W = 1.34~1.46S; F = .58~.62S; do planing hull; do buoyancy
do motor; c = .44~.5L; Seat jockey seat | c-3.8 c-1.1 | 1.5 | F F+2.8; footing cockpit sole | .05L .82L | .55B | F
Console console | c c+1.8 | 2.2 1.9 | F F+3.3~3.8 | lean 0 20 4
case .4; tube Arch A-frame | 2 | 1.2 .37B @c | 1.7 .26B F+4.7 | 1.7 .13B F+5 | 1.7 0 F+5.1; end
* sailboat, mast up
do sloop; mast .6L | 6; c = .59L; wire port shroud | c | %c-.7 | .5; wire starboard shroud | c | .7-%c | .5
wire backstay | .4 | 0 | .5; wire forestay | .97L | 0 | 1.5
* sailboat, mast down
do sloop; laid -.03~.1L 1.02~1.08L | S+1.9+.03~.05L W+2.2 | 6
* day sailer
L = 12~22; B = .29L+1.2~1.7; S = .1L+.4~.6; M = .98~1.06S; W = 1.25~1.35S; F = .36~.4S; G = .29~.37; T = .72B
RoundBilge .43~.57 12 G T 26~34 10~14; footing stern deck | .02L .12L | .4B | S-.1; do open sailboat; do eyes
* double ender
L = 15~28; B = .262L+1~1.5; S = .085L+1.2~1.6; M = .8~.86S; W = 1.12~1.22S; F = .32~.34S; G = .26~.34; T = .06B
RoundBilge .51~.65 12 G T 26~34 20~30; h = .18L; footing stern deck | .07L h | .15B | @h-.1; do open sailboat; eye .6W
* drift boat
L = 13~18; B = .24L+2.2~2.7; S = .12L+.8~1.1; M = .69~.75S; W = 1.27~1.37S; F = .1S; G = .44~.56; T = .56B
Flat .67B G T 33~43 14~22; a = .42~.48L; Seat rower's bench | a a+1.1 | .7B | F F+1.3; do eyes
Seat bow bench | .7L .7L+1 | .55B | F F+1.5; case .4; Seat stern seat | .17L .17L+1.1 | .4B | F F+1.4; end
footing floor | .1L .82L | .45B | F; tie gunwale | .06L .88L | 0
* personal watercraft
L = 9~12; B = .233L+1.2~1.6; S = .067L+.6~.8; M = 1.12~1.22S; W = 1.44~1.56S; F = .67~.73S; G = .5~.65; T = .9B
V 17~22 32~36 .84B G T 31~39 6~10; Seat seat | .11L .53L | 1.2 | F+.1 F+1.7; Console handlebars | .54L .54L+.8 | 2 | S+.2 F+2.1
footing rear deck | .02L .1L | .55B | .94S; footing seat | .12L .52L | .85 | F+1.7
footing bow lid | .65L .87L | .4B | 1.05M; tie rub rail | .08L .92L | 0; do eyes
* houseboat
L = 28~45; B = .294L+1.3~2.3; S = .035L+2.4~2.9; M = .97~1.03S; W = 1~1.08S; F = .54S; G = .8~1; T = .98B
Flat .93B G T 40~50 4~6; e = .76~.82L; do roofed deck; footing fore deck | e+.2 .95L | .5B | F; tie gunwale | .03L .9L | 0; eye .6W
* houseboat
L = 26~42; B = .25L+3~4; S = .025L+2.2~2.5; M = S; W = S; F = S; Tubes 2 12S-8
e = .84~.9L; do roofed deck; footing fore deck | e+.2 .98L | .6B | F; tie deck edge | .03L .97L | .17
* power catamaran
L = 18~28; B = .16L+4.8~5.5; S = .1L+1.4~1.8; M = S; W = S; F = .56S; Catamaran .3B 22 .44S 10; do console; do small cleats
Motor motor | -2.3 -.05 | 1.6 | .42S S+1 S+1.4 | pair .34B | lean 12 0 8
* power catamaran
L = 26~36; B = .36L; S = .14L+.3~.9; M = S; W = S; F = .56S; Catamaran .3B 22 .44S 10; do cleats
Motor motor | -2.4 -.05 | 1.7 | .42S S+1.1 S+1.5 | pair .34B | lean 12 0 8; a = .36~.42L; e = a+.24~.3L
Cabin house | a e | .76B .7B | S F+6.6~7 | lean 0 25 5; Cabin trunk | e .88L | .62B .5B | S S+1.3 | lean 0 40 15
footing cockpit sole | .04L a-.2 | .68B | F; footing foredeck | .89L .96L | .5B | S; tie bow rail | e .95L | 0
* sail catamaran
L = 30~45; B = .5~.54L; S = .107L+1.4~2.1; M = S; W = S; F = .84~.92S; Catamaran .27B 22 .44S 10
a = .25~.28L; e = .6~.65L; t = S+3.2~3.7; Cabin saloon | a e | .63B .55B | S t | lean 0 50 20; do cleats
case .4; Hardtop cockpit roof | .07L a+.5 | .5B | t+.3 t+.6; tube Tower roof leg | 3 | .08L .24B F | .08L .24B t+.3; end
case .4; mast e+1 | 8; wire port shroud | e-1 | .46B | .5; wire starboard shroud | e-1 | -.46B | .5; end
footing cockpit sole | .03L a-.2 | .6B | F; footing foredeck | e+.2 .8L | .7B | S; tie toe rail | .1L .8L | 0
footing hull deck | .7L .93L | .12B | S | pair .4B
";

/// Parts of boats that several kinds share. One boat in eight is odd: no post on its foredeck (Y), its console out of the
/// middle (X), or an odd thing (Z) on the first long footing, whose ends, half width and height are A, E, D, H.
const PARTS: &str = "
* planing hull
G = .38~.48; T = .95B; V 16~22 42~49 .84B G T 31~39 6~10
* open bow hull
G = .48~.62; T = .95B; V 15~21 40~47 .84B G T 31~39 6~10
* motor
Motor motor | -.8-.06L -.06 | .8+.034L | .42S S+.15+.035L S+.55+.035L | lean 12 0 8
* drive
case .25; Motor sterndrive | -1.7 0 | 1.2 | .05S .4S .48S | lean 12 0 8
case .75; Platform swim platform | -1.5~2.8 0 | .8B | .3S .3S+.25; end
* outboard
do motor; a = 2.9; Seat stern bench | 1.3 a | .72B | F F+1.6; footing splashwell | .2 1.2 | 2.4 | .78S
* stern
case .5; do drive; a = 2.8~3.6; Seat sun pad | .25 a | .78B | F S+.1; case .5; do outboard; end
* glass
b = g-.9r-.3; Windshield windshield | b g | 2%b-1.2 2%g-1.4 | @b @b+r | lean 0 42 8
* long glass
b = g-1.2r-.4; h = g-1.2; v = .86L; d = v+.2; footing foredeck | d .94L | .2B | @d-.1
Windshield windshield | b g | 2%b-1.2 2%g-1.6 | @b @b+r | lean 0 50 10
Cabin cabin | h v | 2%h-2 2%v-1.6 | @h @h+.5r | lean 0 50 22
* open bow
Seat seat | b-3.1 b-1.4 | 1.7 | F F+2.6 | pair .23B; footing cockpit sole | a+.1 b | .55B | F
Seat bow seat | g+.5 .82L | 1.7 | F F+1.5 | pair .23B; footing bow sole | g+.1 .83L | 1.7 | F; do moored
* console
c = .38~.45L; n = 1.8~2.3+.05L; w = .32~.38B; d = 1.3~2.2; t = F+6.5~7; footing cockpit sole | 1 .75L | .62B | F
Console console | c c+n | w .9w | F F+3.6~4.5 | at X | lean 0 15 0
Seat console seat | c+n c+n+1.3 | .75w | F F+1.6 | at X; Seat leaning post | c-1.4-d c-1.4 | .9w | F F+2.8~3.3 | at X
case .3; Hardtop hardtop | c-1~2 c+n+.2~1 | .56~.68B | t t+.25; do top legs
case .25; tube Tower top frame | 2 | c-1.2 0 t+.3 | c-1.2 .3B t | c+n+.4 .28B t | c+n+.4 0 t+.3; do top legs; end
case .4; Seat stern bench | .7 1.9 | .6B | F F+1.5; end; case .5; tie bow rail | .6L .92L | 0; end
case .5; Seat bow seat | .7L .86L | 1.4 | F F+1.4 | pair .3B; footing bow sole | .7L .86L | 1.7 | F
case .5; footing bow deck | .77L .92L | .3B | F+1.5; end
* top legs
tube Tower aft leg | 2 | c .5w+.2 F | c-.3 .5w+.1 t; tube Tower fore leg | 2 | c+n .5w+.2 F | c+n+.1 .5w+.1 t
* house
t = F+6.1~6.6+.035L; v = .86L; h = v+.2; Cabin wheelhouse | a e | 2%a-2.6 2%e-2.6 | @a t | lean 0 12 4
Cabin trunk | e v | 2%e-3.4 2%v-2 | @e-.1 @e+1.2~1.7 | lean 0 40 12
footing cockpit sole | .03L a-.2 | .64B | F; footing foredeck | h .95L | .2B | @h-.2
* fenced deck
i = 2.2~2.6; o = .8~.86L; h = .5B-.42; d = F+2.1~2.4; c = .42~.5L; footing deck | i+.2 o-.2 | .34B | F
tube Rail fence | 1.25 | i 0 d | i h d | o-1.2 h d | o h-1.2 d | o 0 d; Seat bow couch | c+3 o-1.5 | 2 | F F+2 | pair .31B
Console helm console | c c+1.9 | 2.3 | F F+2.9~3.4 | at -.27B | lean 0 12 0
Seat helm seat | c-2.4 c-.7 | 1.8 | F F+2.6 | at -.27B
case .6; Seat stern lounge | i+.6 i+2.6 | .74B | F F+2.1; Seat port couch | i+3.4 c-.5 | 2 | F F+2 | at .31B
case .4; Seat stern couch | i+.8 c-3.5 | 2 | F F+2 | pair .31B; end
Motor motor | -1.1-.035L -.05 | 1+.025L | .5F F+.85+.03L F+1.25+.03L | lean 12 0 8
case .4; tube Arch folded bimini | 4 | c-.6 h d | c-3.6 .42B d+1.2 | c-3.8 .2B d+1.3 | c-3.8 0 d+1.3; end
footing stern deck | .3 i-.2 | .6B | F; footing bow deck | o+.2 L-.6 | .6B | F
cleat stern cleat | .02L; cleat bow cleat | .95L; tie deck edge | i o | .17
* buoyancy
r = .42+.019L; a = .5L; b = .78L; c = .93L; do eyes; tie lifeline | .1L .84L | .3
tube Buoyancy buoyancy tube | 10+.45L | -.05L %a+.5r S+.1 | a %a+.6r @a+.2 | b %b+.6r @b+.3 | c %c+.5r @c+.4 | 1.02L 0 W+.4
* sloop
L = 21~42; B = .248L+2.2~3; S = .114L+.7~1.3; M = .98~1.06S; W = 1.19~1.29S; F = .54~.58S; G = .24~.3; T = .68B
RoundBilge .33~.47 12 G T 30~38 -11~17; a = .3~.34L; e = .65~.7L; u = .88L; v = .13L; h = e+.2
Cabin coachroof | a e | 2%a-3.4 2%e-2.6 | @a @a+1.5 @a+1.1 | lean 0 50 15
Seat cockpit seat | .07L a-.2 | 1.5 | F F+1.5 | pair .2B
case .6; Console steering pedestal | .14L .14L+.8 | .9 | F F+3.3; end
tube Rail bow pulpit | 1 | u %u-.2 @u+1.9 | .965L .06B W+2 | .985L 0 W+2
tube Rail stern rail | 1 | v %v-.2 S+1.9 | .02L .31B S+2 | .008L .25B S+2 | .008L 0 S+2
footing cockpit sole | .07L a-.2 | 2 | F; footing foredeck | h .9L | .22B | @h-.1
footing side deck | a e | .8 | @a | pair %e-.7; hatch companionway hatch | a a+2.3 | 2.2
eye .93W; tie toe rail | .06L .9L | 0; do cleats
* open sailboat
a = .5~.54L; e = a+.2L; h = .77L; Seat bench | .2L .47L | .2B | F F+1.1 | pair .33B
case .45; Cabin cuddy | a e | 2%a-1.4 2%e-1.2 | @a @a+1~1.3 @a+.8 | lean 0 25 8
footing cockpit sole | .18L a-.1 | .28B | F
case .55; Seat thwart | a a+.8 | .9B | F F+1.1; footing sole | .18L .72L | .28B | F; end
case .3; Other centerboard case | .4L a-.1 | .25 | F F+1; end; footing foredeck | h .9L | .22B | @h-.1
cleat quarter cleat | .1L; cleat chainplate | .65L; cleat bow cleat | .88L; tie rub rail | .15L .85L | 0
case .25; mast .72L | 4; case .25; laid -.05L 1.02L | S+1.6 W+.9 | 4; end
* roofed deck
a = 2.2~4; t = F+7~7.4; Cabin house | a e | B-1.6 | F t; footing stern deck | .3 a-.2 | .7B | F; do cleats
case .35; tube Rail roof rail | 1.25 | a+.5 0 t+3 | a+.5 .38B t+3 | .55L .38B t+3 | .55L 0 t+3; end
case .4; Motor motor | -2.2 -.05 | 1.7 | .4S S+.9 S+1.3 | lean 12 0 8; end
* thwarts
Seat aft thwart | .12L .12L+.9 | .95B | F F+1.1; a = .44~.5L; Seat middle thwart | a a+.8 | .95B | F F+1.1
case .6; Seat bow thwart | .74L .74L+.8 | .95B | F+.1 F+1.2; end; case .85; do motor; end; do eyes
* bow rail
k = .94L; x = p+1.3; y = .5p+.5k; z = .25p+.75k; tie bow rail | p k | 0
tube Rail bow rail | 1 | p %p-.3 @p+.1 | x %x-.3 @x+j | y %y-.3 @y+j | z %z-.3 @z+j | k %k-.3 @k+j | .975L 0 @k+j+.1
* eyes
eye .48W; eyes .42S | .22B
* cleats
cleat stern cleat | .03L; cleat aft spring cleat | .28L; cleat midship cleat | .5L; cleat bow cleat | .87L
* small cleats
cleat stern cleat | .04L; cleat midship cleat | .43~.5L; cleat bow cleat | .84~.88L
* moored
do eyes; do small cleats
* large moored
eye .48W; do cleats
* odd boat
case .2; Y = 1; case .2; X = -1; case .6; Z = 1; end
* odd thing
case .4; hatch hatch | .5A+.5E-.9 .5A+.5E+.9 | 1.2D; case .3; Other chest | A+.2 A+2 | 1.2 | H H+1.5 | at .7-D
case .3; Other locker | E-2.6 E-.2 | 1 | H H+2.2 | at D-.6; end
";

/// Words that become one row: the list, how the row begins, its fields. Marked are heights (^), angles (*), bare numbers
/// (#), inches (\"), and what is left out at zero (?).
#[rustfmt::skip]
const ROWS: [(&str, &str, &str, &str); 14] = [
    ("V", "hull", "V", "transom_deadrise* entry_deadrise* chine_beam fullness# transom_beam stem_rake* transom_rake*"),
    ("Flat", "hull", "Flat", "chine_beam fullness# transom_beam stem_rake* transom_rake*"),
    ("RoundBilge", "hull", "RoundBilge", "bilge# transom_deadrise* fullness# transom_beam stem_rake* transom_rake*"),
    ("Tubes", "hull", "Tubes", "count# diameter\""),
    ("Catamaran", "hull", "Catamaran", "hull_beam deadrise* deck_thickness stem_rake*"),
    ("eye", "anchors", "BowEye", "height^"),
    ("eyes", "anchors", "SternEye", "height^ offset"),
    ("cleat", "anchors", "Cleat", "name station"),
    ("tie", "anchors", "Rail", "name from to below_sheer"),
    ("wire", "antennas", "", "name station offset? diameter\""),
    ("mast", "mast", "Up", "station diameter\""),
    ("laid", "mast", "LaidDown", "from to height^ height_fore^ diameter\""),
    ("footing", "footings", "", "from to width height^ offset?"),
    ("hatch", "no_post", "", "from to width"),
];

/// Fields of a box.
const BOX: &str =
    "from to width width_fore offset? base^ top^ top_fore^ rake_aft* rake_fore* rake_side*";

/// A thing alone, and two of them: what its name begins with, the sign of its offset.
const SIDES: [(&str, f64); 3] = [("", 1.0), ("port ", 1.0), ("starboard ", -1.0)];

/// What is so near zero is rounding.
const ROUNDING: f64 = 1e-9;

/// A boat that is being drawn, ft.
#[derive(Default)]
struct Yard<'a> {
    numbers: &'a [f64],
    /// How many of them are used up.
    at: usize,
    /// Measures by their letters.
    measures: Vec<f64>,
    metric: bool,
    /// What the file's heights are more than those over the keel.
    datum: f64,
    /// Rows, each with its list.
    rows: Vec<(&'static str, String)>,
}

/// Draws a boat.
///
/// # Units
/// Numbers from 0 to 1.
pub fn boat(numbers: &[f64]) -> Drawn {
    let mut yard = Yard {
        numbers,
        measures: vec![0.0; 128],
        ..Yard::default()
    };
    let kinds: Vec<&'static str> = KINDS.split("\n* ").skip(1).collect();
    let kind = kinds[yard.one_of(kinds.len())];
    let (kind, lines) = kind.split_once('\n').unwrap_or_default();
    let keel = yard.between(1.3, 2.2);
    yard.metric = yard.next() > 0.85;
    yard.datum = if yard.next() > 0.9 { keel } else { 0.0 };
    if yard.next() > 0.875 {
        yard.part("odd boat");
    }
    yard.lines(lines);
    let tape: Vec<f64> = "LBFSMW".chars().map(|letter| yard.get(letter)).collect();
    let from = if yard.datum > 0.0 { "Ground" } else { "Keel" };
    let mut text = format!(
        "Boat(\n    name: \"{kind} {:.0}\",\n    note: \"invented\",\n    heights_from: {from},\n    {},\n    sheer: ({}),\n",
        tape[0],
        yard.fields("length beam sole^", &tape),
        yard.fields("stern^ middle^ bow^", &tape[3..])
    );
    for list in "hull boxes tubes mast antennas anchors footings no_post".split(' ') {
        let rows = yard.rows.iter().filter(|row| row.0 == list);
        let rows: Vec<&str> = rows.map(|row| row.1.as_str()).collect();
        let rows = rows.join(",\n        ");
        text += &match list {
            "hull" | "mast" if !rows.is_empty() => format!("    {list}: {rows},\n"),
            _ if !rows.is_empty() => format!("    {list}: [\n        {rows},\n    ],\n"),
            _ => rows,
        };
    }
    let support = match tape[0] {
        _ if kind.starts_with("sail") => "Cradle",
        length if length > 27.0 => "Stands",
        _ => "Trailer",
    };
    let (rub_rail, keel) = (yard.tape(0.06 * tape[3]), yard.tape(keel));
    text += &format!(
        "    rub_rail: {rub_rail},\n    stored_on: (kind: {support}, keel_height: {keel}),\n)\n"
    );
    Drawn { kind, text }
}

/// Numbers and measures.
impl Yard<'_> {
    fn next(&mut self) -> f64 {
        self.at += 1;
        self.numbers.get(self.at - 1).copied().unwrap_or(0.5)
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }

    fn one_of(&mut self, count: usize) -> usize {
        ((self.next() * count as f64) as usize).min(count - 1)
    }

    fn get(&self, letter: char) -> f64 {
        self.measures[letter as usize % 128]
    }

    /// Half breadth of the deck's edge at a station, as the program draws it, ft.
    fn half(&self, station: f64) -> f64 {
        let [length, beam, fullness, transom] = ['L', 'B', 'G', 'T'].map(|letter| self.get(letter));
        let share = (station / length).clamp(0.0, 1.0);
        let [aft, fore] = [1.0 - share / 0.4, (share - 0.4) / 0.6].map(|part| part.max(0.0));
        let bow = (1.0 - fore.powf(1.5 + 1.5 * fullness)).powf(1.0 - 0.5 * fullness);
        let part = bow - (1.0 - transom / beam) * aft * aft;
        0.5 * beam * if transom > 0.0 { part } else { 1.0 }
    }

    /// Height of the sheer at a station, ft.
    fn edge(&self, station: f64) -> f64 {
        let u = (station / self.get('L')).clamp(0.0, 1.0);
        let (aft, fore) = ((1.0 - u) * (1.0 - 2.0 * u), u * (2.0 * u - 1.0));
        aft * self.get('S') + 4.0 * u * (1.0 - u) * self.get('M') + fore * self.get('W')
    }

    /// A value of the catalogs; not a number where it is none, which the program refuses.
    fn value(&mut self, text: &str) -> f64 {
        let (mut sum, mut rest) = (0.0, text);
        while !rest.is_empty() {
            let sign = if rest.starts_with('-') { -1.0 } else { 1.0 };
            rest = rest.trim_start_matches(['-', '+']);
            let (term, later) = rest.split_at(rest.find(['-', '+']).unwrap_or(rest.len()));
            let of = term.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.' || c == '~');
            let number = |text: &str| text.parse::<f64>().unwrap_or(f64::NAN);
            let factor = match term.trim_end_matches(of).split_once('~') {
                Some((low, high)) => self.between(number(low), number(high)),
                None if term == of => 1.0,
                None => number(term.trim_end_matches(of)),
            };
            let of = match of.chars().collect::<Vec<char>>()[..] {
                [] => 1.0,
                [letter] => self.get(letter),
                ['@', station] => self.edge(self.get(station)),
                ['%', station] => self.half(self.get(station)),
                _ => f64::NAN,
            };
            sum += sign * factor * of;
            rest = later;
        }
        sum
    }

    /// The values of a field; the last one again for those that it has not.
    fn values<const N: usize>(&mut self, field: &str) -> [f64; N] {
        let values: Vec<f64> = field.split(' ').map(|text| self.value(text)).collect();
        std::array::from_fn(|i| values.get(i).or(values.last()).copied().unwrap_or(f64::NAN))
    }

    /// A length as the tape gives it.
    fn tape(&self, feet: f64) -> String {
        let inches = (12.0 * feet).round();
        let (whole, rest) = ((inches.abs() / 12.0).floor(), inches.abs() % 12.0);
        let sign = if inches < 0.0 { "-" } else { "" };
        match (whole > 0.0, rest > 0.0) {
            _ if self.metric => format!("\"{:.2} m\"", 0.3048 * feet),
            (true, true) => format!("\"{sign}{whole}'{rest}\""),
            (true, false) => format!("\"{sign}{whole} ft\""),
            (false, _) => format!("\"{sign}{rest} in\""),
        }
    }

    /// Fields of the file by their marked names.
    fn fields(&self, names: &str, values: &[f64]) -> String {
        let field = |(name, &value): (&str, &f64)| {
            let value = match name.chars().last() {
                Some('*' | '?') if value == 0.0 => return None,
                Some('*') => format!("\"{value:.0} deg\""),
                Some('#') => format!("{}", (100.0 * value).round() / 100.0),
                Some('"') => format!("\"{} in\"", (4.0 * value).round() / 4.0),
                Some('^') => self.tape(value + self.datum),
                _ => self.tape(value),
            };
            let name = name.trim_end_matches(['*', '?', '#', '"', '^']);
            Some(format!("{name}: {value}"))
        };
        let fields = names.split(' ').zip(values).filter_map(field);
        fields.collect::<Vec<String>>().join(", ")
    }
}

/// What the lines of the catalogs say.
impl Yard<'_> {
    fn lines(&mut self, lines: &'static str) {
        let (mut here, mut left) = (true, None);
        for line in lines.split(['\n', ';']).map(str::trim) {
            let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
            let fields: Vec<&str> = rest.split(" | ").collect();
            match word {
                "case" => {
                    let chance = left.unwrap_or_else(|| 1.0 - self.next());
                    let part = self.value(rest);
                    here = (ROUNDING..=part + ROUNDING).contains(&chance);
                    left = Some(chance - part);
                }
                "end" => (here, left) = (true, None),
                _ if !here || word.is_empty() => {}
                "do" => self.part(rest),
                "tube" => self.tube(&fields),
                letter if rest.starts_with("= ") => {
                    self.measures[letter.as_bytes()[0] as usize] = self.value(&rest[2..]);
                }
                "footing" | "hatch" => self.place(word, &fields),
                _ => match ROWS.iter().find(|row| row.0 == word) {
                    Some(row) => self.row(row, &fields),
                    None => self.place(word, &fields),
                },
            }
        }
    }

    fn part(&mut self, name: &str) {
        let mut parts = PARTS.split("\n* ").filter_map(|part| part.split_once('\n'));
        if let Some((_, lines)) = parts.find(|part| part.0 == name) {
            self.lines(lines);
        }
    }

    fn row(&mut self, row: &(&str, &'static str, &str, &str), fields: &[&str]) {
        let &(_, list, form, names) = row;
        let (name, fields) = match names.strip_prefix("name ") {
            Some(_) => (format!("name: \"{}\", ", fields[0]), &fields[1..]),
            None => (String::new(), fields),
        };
        let words = fields.iter().flat_map(|field| field.split(' '));
        let values: Vec<f64> = words.map(|text| self.value(text)).collect();
        let row = self.fields(names.trim_start_matches("name "), &values);
        self.rows.push((list, format!("{form}({name}{row})")));
    }

    /// A box or a zone, or one on either side: no wider than the deck where it is, left out where there is no room.
    fn place(&mut self, word: &str, fields: &[&str]) {
        let [from, to] = self.values(fields[1]);
        let wide: [f64; 2] = self.values(fields[2]);
        let high: [f64; 3] = self.values(fields.get(3).copied().unwrap_or("0"));
        let (mut lean, mut offset, mut sides) = ([0.0; 3], 0.0, &SIDES[..1]);
        for more in fields.get(4..).unwrap_or_default() {
            let (word, rest) = more.split_once(' ').unwrap_or_default();
            match word {
                "lean" => lean = self.values(rest),
                "pair" => (offset, sides) = (self.value(rest), &SIDES[1..]),
                _ => offset = self.value(rest),
            }
        }
        let (inset, least) = match word {
            "Motor" | "Platform" => (-self.get('B'), 0.0),
            "footing" | "hatch" => (0.25, 0.6),
            "Seat" if self.get('B') > 6.8 => (0.5, 0.7),
            _ => (0.15, 0.3),
        };
        let half = [from, to].map(|station| self.half(station) - inset);
        let narrow = half[0].min(half[1]);
        let row = ROWS.iter().find(|row| row.0 == word);
        let room = match row {
            // Between two of a pair somebody walks.
            _ if offset != 0.0 => [narrow - 0.3 * sides.len() as f64; 2],
            Some(_) => [2.0 * narrow; 2],
            None => half.map(|half| 2.0 * half),
        };
        let width = [0, 1].map(|end| wide[end].min(room[end]));
        let most = (narrow - 0.5 * width[0].max(width[1])).max(0.0);
        let weak = self.get('Y') > 0.0 && fields[0] == "foredeck";
        if weak || to - from < least || width[0] < 0.5 * least {
            return;
        }
        for (side, sign) in sides {
            let offset = sign * offset.clamp(-most, most);
            let zone = [from, to, width[0], high[0], offset];
            let all = [&[from, to, width[0], width[1], offset], &high[..], &lean].concat();
            let (list, kind, row) = match row {
                Some(row) => (row.1, String::new(), self.fields(row.3, &zone)),
                None => ("boxes", format!("kind: {word}, "), self.fields(BOX, &all)),
            };
            let name = format!("{side}{}", fields[0]);
            self.rows
                .push((list, format!("(name: \"{name}\", {kind}{row})")));
        }
        if word == "footing" && to - from > 3.0 && self.get('Z') > 0.0 {
            let known = [from, to, 0.5 * width[0], high[0], 0.0];
            for (letter, value) in "AEDHZ".bytes().zip(known) {
                self.measures[usize::from(letter)] = value;
            }
            self.part("odd thing");
        }
    }

    fn tube(&mut self, fields: &[&str]) {
        let (kind, name) = fields[0].split_once(' ').unwrap_or_default();
        let inches: [f64; 1] = self.values(fields[1]);
        let path: Vec<[f64; 3]> = fields[2..].iter().map(|point| self.values(point)).collect();
        let point = |[x, y, z]: &[f64; 3]| {
            let point = [*x, *y, z + self.datum].map(|feet| self.tape(feet));
            format!("({})", point.join(", "))
        };
        let path: Vec<String> = path.iter().map(point).collect();
        let (diameter, path) = (self.fields("diameter\"", &inches), path.join(", "));
        let row =
            format!("(name: \"{name}\", kind: {kind}, {diameter}, mirrored: true, path: [{path}])");
        self.rows.push(("tubes", row));
    }
}
