//! A picture without a window.

use super::door::drawer;
use super::load::burden::{Burden, Weighed};
use super::look::Look;
use super::model::Model;
use super::scene::Detail;
use super::teach::class::compared;
use super::teach::paper::{Headline, PaperPlugin};
use super::teach::snowfall::{Snowfall, Weather};
use super::teach::work::Pair;
use super::{Screen, app, camera, refuse_on_panic};
use crate::boat::Problem;
use crate::disk;
use crate::lesson::{Played, lessons};
use crate::loads::{Loads, weigh, weigh_at_site};
use crate::plan::{Plan, plan};
use crate::units::UnitSystem;
use crate::view::{Refusal, Shot, ViewRequest};
use bevy::camera::{ImageRenderTarget, RenderTarget};
use bevy::image::{ImageFormat, TextureFormatPixelInfo};
use bevy::prelude::*;
use bevy::render::render_resource::{PollType, TextureFormat, TextureUsages};
use bevy::render::renderer::RenderDevice;
use bevy::render::view::screenshot::{Screenshot, ScreenshotCaptured};
use std::io::Cursor;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// Updates before the picture is taken: the scene is hung, the panels have their fonts, the boat is fitted into
/// the picture, and all of it has reached the graphics card.
const SETTLING: usize = 5;

/// Updates that a picture may take to come back.
const PATIENCE: usize = 60;

/// Makes a picture and writes it, whole or not at all; times frames where that is wished, and tells of them.
///
/// # Errors
/// The boat cannot be planned, nothing can draw, or the file cannot be written.
pub fn take(request: ViewRequest, shot: &Shot) -> Result<Option<String>, Refusal> {
    let image = picture(request.clone(), shot.size)?;
    let bytes = png(image)?;
    disk::write_file(&shot.file, &bytes).map_err(|fault| Refusal {
        what: fault.what,
        hint: fault.hint,
    })?;
    if shot.frames == 0 {
        return Ok(None);
    }
    let mut told = Vec::new();
    for (motion, words) in [
        (Motion::Turning, "while the boat turns"),
        (Motion::Following, "with a new plan for every one"),
    ] {
        let mut times = frames(&request, shot.size, motion, shot.frames)?;
        let [median, most] = [0.5, 0.95].map(|part| quantile(&mut times, part));
        told.push(format!("{median:.1} ms {words} (95 % under {most:.1} ms)"));
    }
    Ok(Some(format!(
        "a frame of {} x {} takes {}; median of {}",
        shot.size[0],
        shot.size[1],
        told.join(", "),
        shot.frames
    )))
}

/// The time under which this part of all frames stay, ms.
fn quantile(times: &mut [Duration], part: f64) -> f64 {
    times.sort();
    let at = (part * times.len().saturating_sub(1) as f64).round() as usize;
    times.get(at).map_or(0.0, |time| time.as_secs_f64() * 1e3)
}

/// The picture of a request.
///
/// # Errors
/// The boat cannot be planned, or nothing can draw.
pub fn picture(mut request: ViewRequest, size: [u32; 2]) -> Result<Image, Refusal> {
    let lesson = request.lesson.take().map(|name| play(&name)).transpose()?;
    let planned = match &lesson {
        Some(played) => {
            request.boat = played.plan.boat.clone();
            (*played.plan).clone()
        }
        None => planned(&request)?,
    };
    drawn(request, planned, lesson, size)
}

/// The picture of a plan that was made already, so that several pictures of one boat plan it once.
///
/// # Errors
/// Nothing can draw.
pub fn picture_of(request: ViewRequest, planned: Plan, size: [u32; 2]) -> Result<Image, Refusal> {
    drawn(request, planned, None, size)
}

fn drawn(
    request: ViewRequest,
    planned: Plan,
    lesson: Option<Played>,
    size: [u32; 2],
) -> Result<Image, Refusal> {
    refuse_on_panic("the picture could not be drawn", move || {
        let units = request.units;
        let loads = weighed(&request, &planned);
        let (mut app, target) = windowless(request, planned, size);
        if let Some(loads) = loads {
            add_loads(&mut app, loads);
        }
        if let Some(mut played) = lesson {
            // The very plan that is on the main stage.
            if let Some(plan) = &app.world().resource::<Model>().plan {
                played.plan = plan.clone();
            }
            add_lesson(&mut app, &played, units);
        }
        begin(&mut app);
        draw(app, target)
    })
}

/// The app of a picture, before its first update.
fn windowless(request: ViewRequest, planned: Plan, size: [u32; 2]) -> (App, Handle<Image>) {
    let mut app = app(request, Some(planned), Screen::Picture);
    let target = add_target(&mut app, size);
    app.insert_resource(Target(target.clone()));
    app.insert_resource(Look::for_picture(size));
    (app, target)
}

/// Updates it until all of the scene is there.
fn begin(app: &mut App) {
    app.finish();
    app.cleanup();
    for _ in 0..SETTLING {
        app.update();
    }
}

/// What is drawn while frames are timed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Motion {
    /// The boat turns under the camera.
    Turning,
    /// The film follows a hand: a new plan is hung into the scene for every frame.
    Following,
}

/// How long each of so many frames takes, from one to the next, until the graphics card is done with it: the systems
/// of the app, the drawing, the card's own work. Showing it on a screen is not in it.
///
/// # Errors
/// The boat cannot be planned, or nothing can draw.
fn frames(
    request: &ViewRequest,
    size: [u32; 2],
    motion: Motion,
    count: usize,
) -> Result<Vec<Duration>, Refusal> {
    let first = planned(request)?;
    let request = request.clone();
    let detail = Detail::of(drawer()?);
    let plans = [first.clone(), first.clone()].map(Arc::new);
    refuse_on_panic("the frames could not be drawn", move || {
        let (mut app, _) = windowless(request, first, size);
        // As in a window.
        app.insert_resource(detail);
        begin(&mut app);
        let mut times = Vec::with_capacity(count);
        // As many again go before, for compiling and warming up.
        for frame in 0..2 * count {
            let world = app.world_mut();
            match motion {
                Motion::Turning => world.resource_mut::<camera::Orbit>().pose.yaw += 0.02,
                Motion::Following => {
                    world.resource_mut::<Model>().plan = plans.get(frame % 2).cloned();
                }
            }
            let start = Instant::now();
            app.update();
            let device = app.world().resource::<RenderDevice>();
            device
                .poll(PollType::wait_indefinitely())
                .map_err(|error| Refusal {
                    what: format!("the graphics card did not finish a frame: {error}"),
                    hint: "try another driver".to_owned(),
                })?;
            if frame >= count {
                times.push(start.elapsed());
            }
        }
        Ok(times)
    })
}

fn planned(request: &ViewRequest) -> Result<Plan, Refusal> {
    plan(&request.boat, &request.boat.rules).map_err(|problems| refused(&problems, "boat file"))
}

fn refused(problems: &[Problem], file: &str) -> Refusal {
    Refusal {
        what: problems
            .iter()
            .map(|problem| problem.what.clone())
            .collect::<Vec<_>>()
            .join("; "),
        hint: format!("mend the {file}"),
    }
}

fn play(name: &str) -> Result<Played, Refusal> {
    let lessons = lessons().map_err(|problems| refused(&problems.list, "lesson file"))?;
    let lesson = lessons.iter().find(|lesson| lesson.name == name);
    let lesson = lesson.ok_or_else(|| Refusal {
        what: format!("there is no lesson '{name}'"),
        hint: "see the lessons in `hulltent view`".to_owned(),
    })?;
    lesson
        .play()
        .map_err(|problems| refused(&problems, "lesson file"))
}

/// What a plan bears, where a case of it is to be seen; with the greatest snow where the page is, too, that tells it.
fn weighed(request: &ViewRequest, planned: &Plan) -> Option<Loads> {
    request.load?;
    let site = request.site.as_ref()?;
    let stage = planned.stage();
    Some(if request.panels {
        weigh(&stage, site)
    } else {
        weigh_at_site(&stage, site)
    })
}

fn add_loads(app: &mut App, loads: Loads) {
    let world = app.world_mut();
    // The very plan that is on the main stage.
    if let Some(plan) = world.resource::<Model>().plan.clone() {
        world.resource_mut::<Burden>().take(Weighed {
            plan,
            capacity: Some(loads.capacity.clone()),
            loads: Some(Arc::new(loads)),
        });
    }
}

/// Both covers of a lesson with the snow lying.
fn add_lesson(app: &mut App, played: &Played, units: UnitSystem) {
    let pair = Pair::new([played.plan.clone(), played.rival.clone()]);
    let mut snowfall = Snowfall::new(&pair, played.lesson().snow);
    snowfall.turn(Weather::ToEnd);
    app.add_plugins(PaperPlugin)
        .insert_resource(Headline::of(played, units))
        .insert_resource(snowfall)
        .insert_resource(compared(played));
}

/// What the cameras of a picture draw on.
#[derive(Resource, Clone)]
pub struct Target(Handle<Image>);

impl Target {
    /// As a camera takes it.
    pub fn render_target(&self) -> RenderTarget {
        RenderTarget::Image(ImageRenderTarget {
            handle: self.0.clone(),
            scale_factor: 1.0,
        })
    }
}

#[derive(Resource, Default)]
struct Taken(Option<Image>);

fn add_target(app: &mut App, size: [u32; 2]) -> Handle<Image> {
    let [width, height] = size;
    let mut image = Image::new_target_texture(width, height, TextureFormat::Rgba8UnormSrgb, None);
    image.texture_descriptor.usage |= TextureUsages::COPY_SRC;
    app.insert_resource(camera::Aperture {
        aspect: width as f32 / height as f32,
        ..camera::Aperture::default()
    });
    app.world_mut().resource_mut::<Assets<Image>>().add(image)
}

fn draw(mut app: App, target: Handle<Image>) -> Result<Image, Refusal> {
    app.init_resource::<Taken>();
    app.world_mut().spawn(Screenshot::image(target)).observe(
        |captured: On<ScreenshotCaptured>, mut taken: ResMut<Taken>| {
            taken.0 = Some(captured.image.clone());
        },
    );
    for _ in 0..PATIENCE {
        app.update();
        if let Some(image) = app.world_mut().resource_mut::<Taken>().0.take() {
            return Ok(image);
        }
    }
    Err(Refusal {
        what: "the picture did not come back from the graphics driver".to_owned(),
        hint: "try another driver, for instance Mesa's: VK_DRIVER_FILES names the driver's file"
            .to_owned(),
    })
}

/// A picture as the bytes of a PNG file.
///
/// # Errors
/// It cannot be written as PNG.
pub fn png(image: Image) -> Result<Vec<u8>, Refusal> {
    let failed = |reason: String| Refusal {
        what: format!("the picture cannot be written as PNG: {reason}"),
        hint: "try another size".to_owned(),
    };
    let mut bytes = Cursor::new(Vec::new());
    let format = ImageFormat::Png
        .as_image_crate_format()
        .ok_or_else(|| failed("this build lacks it".to_owned()))?;
    image
        .try_into_dynamic()
        .map_err(|error| failed(error.to_string()))?
        .to_rgb8()
        .write_to(&mut bytes, format)
        .map_err(|error| failed(error.to_string()))?;
    Ok(bytes.into_inner())
}

/// Red, green, blue of a pixel of a picture; `None` beside it.
pub fn pixel(image: &Image, x: u32, y: u32) -> Option<[u8; 3]> {
    let bytes = image.texture_descriptor.format.pixel_size().ok()?;
    let at = (y as usize * image.width() as usize + x as usize) * bytes;
    let data = image.data.as_ref()?.get(at..at + 3)?;
    data.try_into().ok()
}
