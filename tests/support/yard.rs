//! Boat files of the boats that stand in a yard: each of a kind, with that kind's measures, decks and gear.
//!
//! A boat is made from a row of numbers between 0 and 1, each standing for one decision; low ones make the plainest
//! boat. All of it is invented: the ranges are those of boats in general, and no boat is anybody's.

/// Numbers that one boat uses.
pub const DECISIONS: usize = 64;

/// A boat file, and the kind of boat that it describes.
#[derive(Debug, Clone)]
pub struct Drawn {
    pub kind: &'static str,
    pub text: String,
}

/// The kinds of boats, and the parts that several kinds share; measures in feet, stations forward of the transom,
/// heights over the keel, angles in degrees.
///
/// A kind begins with its hull: form and its own measure (deadrise of a V, chine over beam of a flat bottom, fullness of
/// a bilge, count of tubes, beam of one hull over beam) | fullness, transom over beam, rakes of stem and transom | length |
/// beam | sheer at the stern, each from the shortest boat to the longest | sheer amidships, sheer at the bow and sole over
/// the sheer at the stern. What stands on it follows:
///
/// - `x = VALUE` sets a measure of the kind's own.
/// - `Seat NAME | from to | width aft, fore | base, top aft, fore | more` is a box; `at VALUE` puts its middle to port,
///   `pair VALUE` one to either side, `lean` rakes it aft, fore and to the side.
/// - `footing NAME | from to | width | height | more` and `hatch NAME | from to | width` are places with and without posts.
/// - `tube KIND NAME | inches | point | ...` is a tube on either side, `arch` one tube from side to side.
/// - `eye`, `eyes`, `cleat` and `tie` are anchors: bow eye, stern eyes, a pair of cleats, a rail that takes straps.
/// - `mast`, `laid` and `wire` are a mast that is up, one that is laid down, and what else stands through the film.
/// - `case P` begins what is there in this part of all boats, to the next case or to `end`; `do NAME` takes in a part.
///
/// A value is a sum of terms such as `.5L`, `2~3` (drawn between the two), `@x` (the sheer at station x) or `2%x` (twice
/// the half breadth there). Given are L and B (length and beam), S, M and W (sheer at stern, middle and bow), F (sole)
/// and K (0 for the smallest outboard, 1 for a large one).
const CATALOG: &str = "
kind skiff
hull Flat .8 | .6 .9 38 12 | 9 16 | 4.2 6 | 1.5 1.9 | 1.05 1.35 .12
do thwarts
footing sole | .06L .84L | .6B | F
tie gunwale | .04L .9L | 0

kind jon boat
hull Flat .78 | .88 .97 50 10 | 10 18 | 4.4 6.4 | 1.5 1.9 | 1 1.18 .14
case .85; do motor; end
a = .42~.5L; Seat middle bench | a a+1 | .9B | F F+1.1
footing sole | .22L .68L | .6B | F
footing stern deck | .3 .2L | .75B | F+1
footing casting deck | .7L .92L | .55B | F+1
cleat stern cleat | .04L; cleat midship cleat | .5L; cleat bow cleat | .88L; do eyes

kind aluminum skiff
hull V 8 | .47 .92 30 8 | 12 18 | 4.9 6.9 | 1.8 2.4 | 1.08 1.42 .2
do thwarts
footing sole | .06L .84L | .55B | F
cleat quarter handle | .04L; cleat oarlock socket | .5L; cleat bow handle | .87L

kind runabout
hull V 18 | .43 .95 35 8 | 15 21 | 6.3 8.2 | 2.5 3.4 | 1.06 1.27 .44
g = .55~.62L; r = 1.1~1.5; do glass; do stern
case .6; Seat seat | b-3.2 b-1.4 | 1.7 | F F+2.4 | pair .22B; end
footing cockpit sole | a+.1 b | .6B | F
h = g+.3; footing foredeck | h .9L | .3B | @h
do moored

kind bowrider
hull V 19 | .55 .95 35 8 | 17 25 | 7.2 8.6 | 3 3.9 | 1.06 1.25 .42
g = .55~.61L; r = 1.1~1.5; do glass; do stern; do open bow
case .35; arch Tower tower | 2.5 | b+.4 %b-.3 @b | b-1.8 .37B F+6.2 | b-2.3 .2B F+6.8 | b-2.3 0 F+7
tube Tower tower brace | 2 | b-4.2 %b-.3 @b-.1 | b-1.9 .37B F+6; end

kind dual console
hull V 19 | .53 .95 35 8 | 17 28 | 7.5 9.6 | 3 4.3 | 1.09 1.3 .43
g = .55~.61L; r = 1.3~1.7; do glass; do outboard; do open bow
Console console | g-2.2 g-.2 | 2.2 | F @b+.4 | pair .27B
case .25; Hardtop hardtop | b-2 b+3.5 | .7B | F+6.7 F+6.9
tube Tower aft leg | 2 | b-1.4 .36B @b | b-1.4 .33B F+6.7; tube Tower fore leg | 2 | b+2.6 .36B @b | b+2.6 .33B F+6.7; end

kind center console
hull V 20 | .43 .95 36 8 | 16 25 | 7 8.7 | 2.6 3.8 | 1.12 1.38 .46
do motor; do console; do moored

kind center console
hull V 21 | .42 .95 36 8 | 25 36 | 8.6 11.2 | 3.8 4.6 | 1.12 1.36 .46
case .3; Motor three motors | -2.6 -.08 | 6.2 | .42S S+1.1 S+1.6 | lean 10 0 14
case .7; Motor two motors | -2.5 -.08 | 4.2 | .42S S+1 S+1.5 | lean 10 0 14; end
do console; do large moored

kind bass boat
hull V 17 | .55 .95 36 8 | 16 21 | 7.2 8.1 | 1.8 2.2 | 1.08 1.25 .42
c = .5~.54L; Seat bench | c-3.6 c-1.7 | .64B | F F+1.8
case .3; Console console | c c+1.3 | 2 | F F+2.3 | pair .24B; Windshield windshield | c+.6 c+1.1 | 1.7 | F+2.3 F+2.8 | pair .24B | lean 0 30 0
case .7; Console console | c c+1.3 | 2.1 | F F+2.3 | at -.23B; Windshield windshield | c+.6 c+1.1 | 1.8 | F+2.3 F+2.8 | at -.23B | lean 0 30 0; end
case .6; Motor motor | -2.9 -.6 | 1.6 | .5S S+1.2 S+1.6 | lean 12 0 8; Other jack plate | -.65 0 | .9 | .2S .75S
case .4; do motor; end
footing aft casting deck | .4 c-3.7 | .66B | .94S; footing cockpit sole | c-1.6 .62L | .28B | F
footing bow casting deck | .64L .92L | .32B | .97M
do moored

kind cuddy cruiser
hull V 20 | .43 .95 35 8 | 18 27 | 7.5 9 | 3.4 4.5 | 1.09 1.3 .44
g = .57~.63L; r = 1.5~2.1; do long glass; q = .7~1.1
case .3; do motor; case .7; do drive; end
Seat stern bench | .6 2.5 | .72B | F F+1.7; Seat helm seat | b-2.4 b-.8 | 1.8 | F F+3 | at -.23B
footing cockpit sole | 2.6 b | .5B | F
case .35; arch Arch radar arch | 3 | b-3.6 %b-.3 @b-.1 | b-5 .39B F+5.8 | b-5.3 .22B F+6.3 | b-5.3 0 F+6.4; end
p = g+.3; j = .7~1.3; do bow rail; do moored

kind express cruiser
hull V 18 | .43 .95 35 8 | 24 42 | 8.6 13.4 | 4.3 6 | 1.1 1.34 .5
g = .55~.6L; r = 2~2.8; do long glass; q = 1.1~1.5; do drive
Seat stern bench | .7 2.9 | .66B | F F+2; Seat helm seat | b-2.6 b-1 | 2.6 | F F+3.4 | at -.25B
case .4; Seat lounge | 4 b-3.5 | 2 | F F+1.8 | at .3B; end
footing cockpit sole | 3 b | .5B | F; h = b-.3
case .3; Hardtop hardtop | b-3.5 b+1.6 | .72B .64B | @b+r+.7 @b+r+1
tube Arch hardtop leg | 3 | b-2.4 %b-.3 @b | b-2.9 .34B @b+r+.7
case .5; arch Arch arch | 4 | b-3 %b-.3 @b-.1 | b-4.6 .37B F+6 | b-4.9 .18B F+6.6 | b-4.9 0 F+6.8; end
p = g+.3; j = 1.7~2; do bow rail; do large moored

kind flybridge cruiser
hull V 16 | .43 .95 34 8 | 28 45 | 10.4 14.8 | 4.9 6.2 | 1.13 1.42 .54
a = .24~.28L; e = .6~.64L; t = @a+3.7~4.1; u = e-2; v = .86L
Cabin saloon | a e | 2%a-2.8 2%e-2.8 | @a t | lean 0 45 6
Cabin trunk | u v | 2%u-4.4 2%v-2.8 | @u @u+1.4~1.8 | lean 0 50 20
Flybridge flybridge deck | a-.07L e-.09L | .73B .6B | t-.15 t+.25
Console flybridge helm | .46L .46L+2 | 3 | t+.25 t+3.4 | at -.12B | lean 0 20 0
Seat helm bench | .36L .36L+1.8 | 3.3 | t+.25 t+2.5 | at -.12B
tube Rail flybridge coaming | 3 | a-.05L 0 t+2.5 | a-.05L .34B t+2.5 | .41L .31B t+2.7 | .5L .21B t+2.9 | .515L 0 t+2.9
case .3; arch Arch radar arch | 3 | a+1 .34B t+2.5 | a-.4 .28B t+5 | a-.6 .14B t+5.4 | a-.6 0 t+5.5; end
case .7; Platform swim platform | -2~3.5 0 | .86B | .25S .25S+.3; end
footing cockpit sole | .03L a-.2 | .62B | F; footing side deck | a e | .9 | @a | pair %e-.75
h = v+.2; footing foredeck | h .95L | .2B | @h-.1
p = u; j = 2.2~2.5; do bow rail; do large moored

kind trawler
hull Round .6 | .46 .83 24 5 | 30 45 | 11 14.4 | 5.3 6.7 | 1.05 1.42 .88
a = .38~.41L; e = .59~.63L; v = .81L; c = .1L; d = a-.5
Cabin pilothouse | a e | 2%a-3.8 2%e-3.6 | S S+6.3~6.8 | lean -3 -4 4
Cabin trunk | e v | 2%e-4.4 2%v-3.4 | @e-.2 @e+1.5~1.9 | lean 0 35 10
case .5; Cabin aft cabin | c d | 2%c-3.2 2%d-3.6 | F+.3 F+2.7 | lean 8 0 6; footing after deck | .02L c-.2 | .5B | F
case .5; footing cockpit sole | .03L d | .62B | .66F; end
case .4; mast | d+.2 | 5; wire port shroud | d-.4 | .45B | 1; wire starboard shroud | d-.4 | -.45B | 1; end
tube Rail stern rail | 1.25 | .16L .46B S+2.2 | .03L .39B S+2.4 | .015L .34B S+2.4 | .015L .12B S+2.4
h = v+.2; footing foredeck | h .94L | .2B | @h-.2
footing side deck | a e | .9 | @a | pair %e-.75
p = e+.5; j = 2.2~2.5; do bow rail; do large moored

kind lobster boat
hull Round .55 | .42 .86 20 6 | 22 42 | 8.8 14 | 3.6 5.6 | 1.09 1.58 .56
a = .5~.55L; e = a+.17~.21L; do house
case .5; Other engine box | .3L .44L | .28B | F F+1.9; end
case .5; Other hauler post | a-.9 a-.4 | .7 | @a-.2 @a+1.8 | at -.4B; end
tie toe rail | a .94L | 0; do large moored

kind pilothouse boat
hull V 17 | .43 .95 33 8 | 20 30 | 8 10 | 3.2 4.4 | 1.15 1.5 .48
a = .4~.45L; e = a+.22~.27L; do house
do motor; case .3; wire antenna | a+1 | .25B | 1; end
p = e+.3; j = 1~1.6; do bow rail; do moored

kind pontoon
hull Tubes 2 | 0 0 0 0 | 16 26 | 8 8.6 | 2.4 2.8 | 1 1 1
do fenced deck

kind tritoon
hull Tubes 3 | 0 0 0 0 | 20 30 | 8.5 8.6 | 2.7 3.1 | 1 1 1
do fenced deck
case .3; arch Arch tow arch | 2.5 | c-.5 h d | c-2 .39B F+5.4 | c-2.5 .2B F+6 | c-2.5 0 F+6.2; end

kind inflatable
hull V 16 | .46 .95 32 4 | 9 13 | 3.4 4.6 | 1.1 1.5 | 1.08 1.42 .4
do buoyancy; case .6; Seat thwart | .36L .36L+.8 | .8B | F+.6 F+1; end
case .6; do motor; end
footing floor | .06L .8L | .55B | F

kind inflatable
hull V 20 | .46 .95 34 4 | 14 26 | 4.8 7.4 | 1.6 2.7 | 1.08 1.4 .6
do buoyancy; do motor; c = .44~.5L
Console console | c c+1.8 | 2.2 1.9 | F F+3.3~3.8 | lean 0 20 4; Seat jockey seat | c-3.8 c-1.1 | 1.5 | F F+2.8
case .4; arch Arch A-frame | 2 | 1.2 .37B @c | 1.7 .26B F+4.7 | 1.7 .13B F+5 | 1.7 0 F+5.1; end
footing cockpit sole | .05L .82L | .55B | F

kind sailboat, mast up
hull Round .4 | .27 .68 34 -14 | 21 42 | 7.8 13 | 3.4 5.8 | 1.02 1.24 .56
do sloop; mast | .6L | 6; c = .59L
wire port shroud | .59L | %c-.7 | .5; wire starboard shroud | .59L | -%c+.7 | .5; wire backstay | .4 | 0 | .5
wire forestay | .97L | 0 | 1.5

kind sailboat, mast down
hull Round .4 | .27 .68 34 -14 | 21 42 | 7.8 13 | 3.4 5.8 | 1.02 1.24 .56
do sloop; laid | -.03~.1L 1.02~1.08L | S+2.6~3.4 W+2.1 | 6

kind day sailer
hull Round .5 | .33 .72 30 12 | 12 22 | 4.9 7.8 | 1.7 2.7 | 1.02 1.3 .38
do open sailboat; do eyes; cleat quarter cleat | .05L; footing stern deck | .02L .12L | .4B | S-.1

kind double ender
hull Round .58 | .3 .06 30 25 | 15 28 | 5.2 8.6 | 2.7 3.8 | .83 1.17 .33
do open sailboat; eye .6W; cleat quarter cleat | .12L; h = .18L; footing stern deck | .07L h | .15B | @h-.1

kind drift boat
hull Flat .67 | .5 .56 38 18 | 13 18 | 5.6 6.8 | 2.5 3.1 | .72 1.32 .1
a = .42~.48L; Seat rower's bench | a a+1.1 | .7B | F F+1.3; Seat bow bench | .7L .7L+1 | .55B | F F+1.5
case .4; Seat stern seat | .17L .17L+1.1 | .4B | F F+1.4; end
footing floor | .1L .82L | .45B | F; tie gunwale | .06L .88L | 0; do eyes

kind personal watercraft
hull V 20 | .6 .9 35 8 | 9 12 | 3.5 4.2 | 1.3 1.5 | 1.17 1.5 .7
Seat seat | .11L .53L | 1.2 | F+.1 F+1.7; Console handlebars | .54L .54L+.8 | 2 | S+.2 F+2.1
footing rear deck | .02L .1L | .55B | .94S; footing seat | .12L .52L | .85 | F+1.7; footing bow lid | .65L .87L | .4B | 1.05M
tie rub rail | .08L .92L | 0; do eyes

kind houseboat
hull Flat .93 | .9 .98 45 5 | 28 45 | 10 15 | 3.6 4.2 | 1 1.04 .54
a = 2.2~4; e = .84~.91L; t = F+7~7.4; Cabin house | a e | B-1.6 | F t
case .35; tube Rail roof rail | 1.25 | a+.5 0 t+3 | a+.5 .38B t+3 | .55L .38B t+3 | .55L 0 t+3; end
case .4; do motor; end
footing stern deck | .3 a-.2 | .7B | F; footing fore deck | e+.2 .96L | .5B | F; tie gunwale | .03L .94L | 0; do large moored

kind power catamaran
hull Catamaran .3 | 0 0 0 0 | 18 28 | 8 9.6 | 3.4 4.4 | 1 1 .56
Motor motor | -2.3 -.05 | 1.6 | .42S S+1 S+1.4 | pair .34B | lean 12 0 8; do console; do moored

kind power catamaran
hull Catamaran .3 | 0 0 0 0 | 26 36 | 9.4 13 | 4.2 5.6 | 1 1 .56
Motor motor | -2.4 -.05 | 1.7 | .42S S+1.1 S+1.5 | pair .34B | lean 12 0 8; a = .36~.42L; e = a+.24~.3L; t = F+6.6~7
Cabin house | a e | .76B .7B | S t | lean 0 25 5; Cabin trunk | e .88L | .62B .5B | S S+1.3 | lean 0 40 15
footing cockpit sole | .04L a-.2 | .68B | F; footing foredeck | .89L .96L | .5B | S; tie bow rail | e .95L | 0; do large moored

kind sail catamaran
hull Catamaran .27 | 0 0 0 0 | 30 45 | 16 24 | 5 6.6 | 1 1 .88
a = .25~.28L; e = .6~.65L; t = S+3.2~3.7; Cabin saloon | a e | .63B .55B | S t | lean 0 50 20
case .4; Hardtop cockpit roof | .07L a+.5 | .5B | t+.3 t+.6; tube Tower roof leg | 3 | .08L .24B F | .08L .24B t+.3; end
case .4; mast | e+1 | 8; wire port shroud | e-1 | .46B | .5; wire starboard shroud | e-1 | -.46B | .5; end
footing cockpit sole | .03L a-.2 | .6B | F; footing foredeck | e+.2 .8L | .7B | S; tie toe rail | .1L .8L | 0; do large moored

part motor
Motor motor | -1.3-1K -.06 | 1.1+.6K | .42S S+.5+.6K S+.9+.6K | lean 12 0 8

part drive
case .25; Motor sterndrive | -1.7 0 | 1.2 | .05S .4S .48S | lean 12 0 8
case .75; Platform swim platform | -1.5~2.8 0 | .8B | .3S .3S+.25; end

part stern
case .5; do drive; a = 2.8~3.6; Seat sun pad | .25 a | .78B | F S+.1
case .5; do outboard; end

part outboard
do motor; a = 2.9; Seat stern bench | 1.3 a | .72B | F F+1.6; footing splashwell | .2 1.2 | 2.4 | .78S

part glass
b = g-.9r-.3; Windshield windshield | b g | 2%b-1.2 2%g-1.4 | @b @b+r | lean 0 42 8

part long glass
b = g-1.2r-.4; h = g-1.2; v = .86L
Windshield windshield | b g | 2%b-1.2 2%g-1.6 | @b @b+r | lean 0 50 10
Cabin cabin | h v | 2%h-2 2%v-1.6 | @h @h+.9~1.3 | lean 0 50 22
d = v+.2; footing foredeck | d .94L | .2B | @d-.1

part open bow
Seat seat | b-3.1 b-1.4 | 1.7 | F F+2.6 | pair .23B; footing cockpit sole | a+.1 b | .55B | F
Seat bow seat | g+.5 .82L | 1.7 | F F+1.5 | pair .23B; footing bow sole | g+.1 .83L | 1.7 | F; do moored

part console
c = .38~.45L; n = 1.8~2.3+.05L; w = .32~.38B; d = 1.3~2.2; t = F+6.5~7
Console console | c c+n | w .9w | F F+3.6~4.5 | lean 0 15 0; Seat console seat | c+n c+n+1.3 | .75w | F F+1.6
Seat leaning post | c-1.4-d c-1.4 | .9w | F F+2.8~3.3
case .3; Hardtop hardtop | c-1~2 c+n+.2~1 | .56~.68B | t t+.25; do top legs
case .25; tube Tower top frame | 2 | c-1.2 0 t | c-1.2 .3B t | c+n+.4 .28B t | c+n+.4 0 t; do top legs; end
case .4; Seat stern bench | .7 1.9 | .6B | F F+1.5; end
case .5; h = .8L; Seat bow seat | .7L .86L | 1.4 | F F+1.4 | pair .3B; footing bow sole | .7L .86L | 1.7 | F
case .5; footing bow deck | .77L .92L | .3B | F+1.5; end
footing cockpit sole | 1 .75L | .62B | F; case .5; tie bow rail | .6L .92L | 0; end

part top legs
tube Tower aft leg | 2 | c .5w+.2 F | c-.3 .5w+.1 t; tube Tower fore leg | 2 | c+n .5w+.2 F | c+n+.1 .5w+.1 t

part house
t = F+6.9~7.4; v = .86L; h = v+.2
Cabin wheelhouse | a e | 2%a-2.6 2%e-2.6 | @a t | lean 0 12 4
Cabin trunk | e v | 2%e-3.4 2%v-2 | @e-.1 @e+1.2~1.7 | lean 0 40 12
footing cockpit sole | .03L a-.2 | .64B | F; footing foredeck | h .95L | .2B | @h-.2

part fenced deck
i = 2.2~2.6; o = .8~.86L; h = .5B-.42; d = F+2.1~2.4; c = .42~.5L
tube Rail fence | 1.25 | i 0 d | i h d | o-1.2 h d | o h-1.2 d | o 0 d
Console helm console | c c+1.9 | 2.3 | F F+2.9~3.4 | at -.27B | lean 0 12 0; Seat helm seat | c-2.4 c-.7 | 1.8 | F F+2.6 | at -.27B
case .6; Seat stern lounge | i+.6 i+2.6 | .74B | F F+2.1; Seat port couch | i+3.4 c-.5 | 2 | F F+2 | at .31B
case .4; Seat stern couch | i+.8 c-3.5 | 2 | F F+2 | pair .31B; end
Seat bow couch | c+3 o-1.5 | 2 | F F+2 | pair .31B
Motor motor | -1.4-.8K -.05 | 1.2+.5K | .5F F+1.2+.4K F+1.6+.4K | lean 12 0 8
case .4; arch Arch folded bimini | 4 | c-.6 h d | c-3.6 .42B d+1.2 | c-3.8 .2B d+1.3 | c-3.8 0 d+1.3; end
footing stern deck | .3 i-.2 | .6B | F; footing deck | i+.2 o-.2 | .34B | F; footing bow deck | o+.2 L-.6 | .6B | F
cleat stern cleat | .02L; cleat bow cleat | .95L; tie deck edge | i o | .17

part buoyancy
r = .42+.019L; a = .5L; b = .78L; c = .93L
tube Buoyancy buoyancy tube | 10+.45L | -.05L %a+.5r S+.1 | a %a+.6r @a+.2 | b %b+.6r @b+.3 | c %c+.5r @c+.4 | 1.02L 0 W+.4
do eyes; tie lifeline | .1L .84L | .3

part sloop
a = .3~.34L; e = .65~.7L; u = .88L; v = .13L
Cabin coachroof | a e | 2%a-3.4 2%e-2.6 | @a @a+1.5 @a+1.1 | lean 0 50 15
Seat cockpit seat | .07L a-.2 | 1.5 | F F+1.5 | pair .2B
case .6; Console steering pedestal | .14L .14L+.8 | .9 | F F+3.3; end
tube Rail bow pulpit | 1 | u %u-.2 @u+1.9 | .965L .06B W+2 | .985L 0 W+2
tube Rail stern rail | 1 | v %v-.2 S+1.9 | .02L .31B S+2 | .008L .25B S+2 | .008L 0 S+2
footing cockpit sole | .07L a-.2 | 2 | F; h = e+.2; footing foredeck | h .9L | .22B | @h-.1
footing side deck | a e | .8 | @a | pair %e-.7; hatch companionway hatch | a a+2.3 | 2.2
eye .93W; tie toe rail | .06L .9L | 0; do cleats

part open sailboat
Seat bench | .2L .47L | .2B | F F+1.1 | pair .33B; a = .5~.54L; e = a+.2L; h = .77L
case .45; Cabin cuddy | a e | 2%a-1.4 2%e-1.2 | @a @a+1~1.3 @a+.8 | lean 0 25 8; footing cockpit sole | .18L a-.1 | .28B | F
case .55; Seat thwart | a a+.8 | .9B | F F+1.1; footing sole | .18L .72L | .28B | F; end
case .3; Other centerboard case | .4L a-.1 | .25 | F F+1; end
footing foredeck | h .9L | .22B | @h-.1; cleat chainplate | .65L; cleat bow cleat | .88L; tie rub rail | .15L .85L | 0
case .25; mast | .72L | 4; case .25; laid | -.05L 1.02L | S+1.6 W+.9 | 4; end

part thwarts
Seat aft thwart | .12L .12L+.9 | .95B | F F+1.1; a = .44~.5L; Seat middle thwart | a a+.8 | .95B | F F+1.1
case .6; Seat bow thwart | .74L .74L+.8 | .95B | F+.1 F+1.2; end
case .85; do motor; end; do eyes

part bow rail
v = .94L; x = p+1.3; y = .5p+.5v; z = .25p+.75v
tube Rail bow rail | 1 | p %p-.3 @p+.1 | x %x-.3 @x+j | y %y-.3 @y+j | z %z-.3 @z+j | v %v-.3 @v+j | .975L 0 @v+j+.1
tie bow rail | p v | 0

part eyes
eye .48W; eyes .42S | .22B

part cleats
cleat stern cleat | .03L; cleat aft spring cleat | .28L; cleat midship cleat | .5L; cleat bow cleat | .87L

part moored
do eyes; cleat stern cleat | .03L; cleat midship cleat | .43~.5L; cleat bow cleat | .84~.88L

part large moored
eye .48W; do cleats
";
