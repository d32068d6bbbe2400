//! The 3D viewer: one plugin a concern.
//!
//! | plugin | holds | answers |
//! | --- | --- | --- |
//! | [`model`] | [`model::Model`]: boat, plan, status | [`model::SolveRequest`], with [`model::Solved`] |
//! | [`history`] | [`history::History`]: the boat step by step | [`history::Act`]; Ctrl Z, Ctrl Y |
//! | [`files`] | [`files::OnDisk`], [`files::Desk`]: the boat's file, what is asked and said | [`files::FileAct`], [`files::OutAct`]; Ctrl S, O, P, E |
//! | [`page`] | [`page::Page`]: what is shown at the left | F1 to F6 |
//! | [`edit`] | [`edit::Bench`]: what is chosen | pointer, keys, pages "boat" and "frame" |
//! | [`shown`] | [`shown::Shown`]: whose plan is shown, the boat's own or a lesson's | |
//! | [`scene`] | [`scene::Stage`]: a plan that is drawn; [`scene::Part`]: what a thing in it is | what is shown |
//! | [`teach`] | [`teach::class::Class`]: lessons and rivals; the storm | [`teach::class::Ask`], [`teach::snowfall::Weather`] |
//! | [`load`] | [`load::burden::Burden`]: site, load case, what was weighed; [`shown::Hanging`] | [`load::burden::Ask`]; U |
//! | [`camera`] | [`camera::Orbit`] | [`camera::Go`], keys, mouse |
//! | [`display`] | [`display::Display`]: film, colors, labels | keys |
//! | [`canvas`] | [`canvas::Canvas`]: what panels leave to the scene | [`canvas::Layout`] |
//! | [`hands`] | [`hands::Hands`]: whether scene or panel has pointer and keys | |
//! | [`section`] | [`section::Sectioning`]: the cutting plane | X, Y, brackets |
//! | [`tape`] | [`tape::Tape`] | M, clicks |
//! | [`look`] | [`look::Look`]: size of text; colors | keys |
//!
//! [`verdict`], [`bar`], [`legend`], [`labels`] and [`caption`] only show; [`measure`] is the page of section
//! and tape, [`pick`] says what lies under the pointer. Everything starts in [`run`]; the same
//! app is put together with a window or, for pictures and tests, without.

#![allow(
    clippy::type_complexity,
    reason = "a system names all that it asks the scene for"
)]

pub mod bar;
pub mod camera;
pub mod canvas;
pub mod caption;
pub mod convert;
pub mod display;
pub mod door;
pub mod edit;
pub mod files;
pub mod hands;
pub mod headline;
pub mod history;
pub mod labels;
pub mod legend;
pub mod load;
pub mod look;
pub mod measure;
pub mod model;
pub mod page;
pub mod pick;
pub mod pose;
mod scale;
pub mod scene;
pub mod section;
pub mod shot;
pub mod shown;
pub mod sleep;
pub mod tape;
pub mod teach;
#[cfg(test)]
mod trial;
pub mod verdict;
pub mod why;
mod words;

use crate::plan::Plan;
use crate::view::{Refusal, ViewRequest};
use bevy::camera::visibility::RenderLayers;
use bevy::camera::{CameraOutputMode, PerspectiveProjection};
use bevy::core_pipeline::tonemapping::Tonemapping;
use bevy::log::{Level, LogPlugin};
use bevy::prelude::*;
use bevy::render::RenderPlugin;
use bevy::render::render_resource::BlendState;
use bevy::render::settings::{Backends, RenderCreation, WgpuSettings};
use bevy::window::{ExitCondition, RequestRedraw, WindowResizeConstraints};
use bevy::winit::{EventLoopProxyWrapper, UpdateMode, WinitPlugin, WinitSettings, WinitUserEvent};
use bevy_egui::{EguiGlobalSettings, EguiPlugin, PrimaryEguiContext};
use camera::{Orbit, SceneCamera};
use model::{Model, Quality, SolveRequest, Waker};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// Opens a window on a boat and comes back when it is closed, or writes a picture of it. Returns what there is to tell
/// beyond that.
///
/// # Errors
/// There is no display, nothing can draw, or the picture cannot be written.
pub fn run(request: ViewRequest) -> Result<Option<String>, Refusal> {
    match request.shot.clone() {
        Some(shot) => {
            door::drawer()?;
            shot::take(request, &shot)
        }
        None => window(request).map(|()| None),
    }
}

fn window(request: ViewRequest) -> Result<(), Refusal> {
    door::display()?;
    let drawer = door::drawer()?;
    refuse_on_panic("the window could not be kept open", move || {
        let mut app = app(request, None, Screen::Window);
        app.insert_resource(scene::Detail::of(drawer));
        match app.run() {
            AppExit::Success => Ok(()),
            AppExit::Error(code) => Err(Refusal {
                what: format!("the window was closed by a fault ({code})"),
                hint: "run it again; a driver that is up to date may help".to_owned(),
            }),
        }
    })
}

/// What the app draws on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Screen {
    /// A window with its panels.
    Window,
    /// A picture with legend, labels and caption.
    Picture,
}

/// Smallest window, points.
const MIN_WINDOW: [f32; 2] = [1024.0, 640.0];

/// First size of a window, points.
const FIRST_WINDOW: [u32; 2] = [1360, 850];

/// A window that sleeps is looked at again after this at the latest, s: nothing depends on it.
const LONGEST_SLEEP: u64 = 60;

/// Puts the app together. With a plan it shows that one, without it makes one in the background.
pub fn app(request: ViewRequest, planned: Option<Plan>, screen: Screen) -> App {
    let mut app = App::new();
    let title = format!("{} - hulltent", request.boat.name);
    let panels = screen == Screen::Window || request.panels;
    app.add_plugins(default_plugins(screen, title))
        .add_plugins(EguiPlugin::default())
        .insert_resource(WinitSettings {
            focused_mode: UpdateMode::reactive_low_power(Duration::from_secs(LONGEST_SLEEP)),
            unfocused_mode: UpdateMode::reactive_low_power(Duration::from_secs(LONGEST_SLEEP)),
        });
    app.world_mut()
        .resource_mut::<EguiGlobalSettings>()
        .auto_create_primary_context = false;
    let files = (screen == Screen::Window).then(|| files::FilesPlugin::of(&request));
    let boat = request.boat.clone();
    let lesson = request.lesson.clone();
    let burden = load::burden::Burden::new(request.site, request.load);
    if panels && burden.case.is_some() {
        app.insert_resource(page::Page::Loads);
    }
    let model = Model::new(request.boat, request.units);
    app.insert_resource(history::History::new(boat.clone()));
    app.insert_resource(match planned {
        Some(plan) => model.planned(plan),
        None => model,
    })
    .insert_resource(burden)
    .insert_resource(Orbit::new(request.from))
    .insert_resource(display::Display {
        labels: request.labels,
        ..display::Display::of(request.show)
    })
    .add_plugins((
        model::ModelPlugin,
        history::HistoryPlugin,
        page::PagePlugin,
        hands::HandsPlugin,
        look::LookPlugin,
        display::DisplayPlugin,
        camera::CameraPlugin,
        canvas::CanvasPlugin,
        scene::ScenePlugin,
        load::HangPlugin,
        legend::LegendPlugin,
        labels::LabelsPlugin,
    ))
    .add_systems(Startup, set_up_cameras);
    if let Some(files) = files {
        app.add_plugins((files, files::FilesPagePlugin));
    }
    if panels {
        app.add_plugins((
            bar::BarPlugin,
            verdict::VerdictPlugin,
            edit::EditPlugin,
            why::WhyPlugin,
            teach::TeachPlugin,
            load::LoadPlugin,
            section::SectionPlugin,
            tape::TapePlugin,
            measure::MeasurePlugin,
        ));
    } else {
        app.add_plugins((caption::CaptionPlugin, teach::ComparePlugin));
    }
    if screen == Screen::Window {
        app.add_plugins(sleep::SleepPlugin)
            .add_systems(Startup, take_waker)
            .add_systems(Last, stay_awake);
        app.world_mut().write_message(SolveRequest {
            boat,
            quality: Quality::Fine,
        });
        if let Some(lesson) = lesson {
            app.insert_resource(page::Page::Lessons);
            app.world_mut()
                .write_message(teach::class::Ask::Lesson(lesson));
        }
    }
    app
}

fn default_plugins(screen: Screen, title: String) -> impl bevy::app::PluginGroup {
    let windows = match screen {
        Screen::Window => WindowPlugin {
            primary_window: Some(Window {
                title,
                resolution: FIRST_WINDOW.into(),
                resize_constraints: WindowResizeConstraints {
                    min_width: MIN_WINDOW[0],
                    min_height: MIN_WINDOW[1],
                    ..WindowResizeConstraints::default()
                },
                ..Window::default()
            }),
            ..WindowPlugin::default()
        },
        Screen::Picture => WindowPlugin {
            primary_window: None,
            exit_condition: ExitCondition::DontExit,
            ..WindowPlugin::default()
        },
    };
    let plugins = DefaultPlugins
        .set(windows)
        .set(LogPlugin {
            level: Level::ERROR,
            // What drivers say about themselves is no help to anybody here.
            filter: "wgpu=off,naga=off,bevy_render=off,sctk_adwaita=off".to_owned(),
            ..LogPlugin::default()
        })
        .set(RenderPlugin {
            // Neither a picture nor a window that goes to sleep must miss what is still being compiled.
            synchronous_pipeline_compilation: true,
            // Those that draw as they should; the others only complain.
            render_creation: RenderCreation::Automatic(Box::new(WgpuSettings {
                backends: Some(Backends::from_env().unwrap_or(Backends::PRIMARY)),
                ..WgpuSettings::default()
            })),
            ..RenderPlugin::default()
        });
    match screen {
        Screen::Window => plugins,
        // Nobody reads a picture's log, and a second one in a process would complain of the first.
        Screen::Picture => plugins.disable::<WinitPlugin>().disable::<LogPlugin>(),
    }
}

/// One camera for the scene, one for panels and overlays over it.
fn set_up_cameras(mut commands: Commands, target: Option<Res<shot::Target>>) {
    spawn_scene_camera(&mut commands, scene::MAIN_LAYER, target.as_deref());
    let mut panels = commands.spawn((
        PrimaryEguiContext,
        Camera2d,
        Camera {
            order: 10,
            output_mode: CameraOutputMode::Write {
                blend_state: Some(BlendState::ALPHA_BLENDING),
                clear_color: ClearColorConfig::None,
            },
            clear_color: ClearColorConfig::Custom(Color::NONE),
            ..Camera::default()
        },
        RenderLayers::none(),
    ));
    if let Some(target) = &target {
        panels.insert(target.render_target());
    }
}

/// A camera that sees the stage on a layer, at the place of that number from the left.
fn spawn_scene_camera(
    commands: &mut Commands,
    layer: usize,
    target: Option<&shot::Target>,
) -> Entity {
    let mut scene = commands.spawn((
        SceneCamera { place: layer },
        Camera3d::default(),
        Camera {
            order: layer as isize,
            ..Camera::default()
        },
        Projection::from(PerspectiveProjection {
            fov: camera::FIELD,
            near: camera::NEAREST,
            ..PerspectiveProjection::default()
        }),
        // Colors stay those of the legend.
        Tonemapping::None,
        RenderLayers::layer(layer),
    ));
    if let Some(target) = target {
        scene.insert(target.render_target());
    }
    scene.id()
}

/// A plan that arrives wakes the window.
fn take_waker(mut commands: Commands, proxy: Option<Res<EventLoopProxyWrapper>>) {
    if let Some(proxy) = proxy {
        let proxy = (**proxy).clone();
        commands.insert_resource(Waker(Arc::new(move || {
            // A window that has gone away wants no more plans.
            let _ = proxy.send_event(WinitUserEvent::WakeUp);
        })));
    }
}

/// Asks for the next frame while something moves; otherwise the window sleeps until something happens.
#[allow(clippy::too_many_arguments, reason = "a system asks for what it needs")]
fn stay_awake(
    orbit: Res<Orbit>,
    model: Res<Model>,
    display: Res<display::Display>,
    look: Res<look::Look>,
    keys: Res<ButtonInput<KeyCode>>,
    (page, bench, why): (Res<page::Page>, Res<edit::Bench>, Res<why::Why>),
    history: Res<history::History>,
    canvas: Res<canvas::Canvas>,
    mut seen: Local<(Option<canvas::Canvas>, u8)>,
    mut redraw: MessageWriter<RequestRedraw>,
) {
    // What a panel changed is drawn one frame later, and panels that grew move the scene.
    let changed = orbit.is_changed()
        || model.is_changed()
        || display.is_changed()
        || look.is_changed()
        || page.is_changed()
        || bench.is_changed()
        || why.is_changed()
        || history.is_changed()
        || seen.0 != Some(*canvas);
    seen.0 = Some(*canvas);
    // Letters that were never shown before reach the graphics card later still.
    seen.1 = if changed || orbit.flies() || keys.get_pressed().next().is_some() {
        SETTLING
    } else {
        seen.1.saturating_sub(1)
    };
    if seen.1 > 0 {
        redraw.write(RequestRedraw);
    }
}

/// Frames that are drawn after the last change, until all of it is seen.
const SETTLING: u8 = 4;

/// Does something that drivers and window systems may break off, and says so in a sentence.
fn refuse_on_panic<T>(what: &str, work: impl FnOnce() -> Result<T, Refusal>) -> Result<T, Refusal> {
    let words = Arc::new(Mutex::new(String::new()));
    let before = std::panic::take_hook();
    let heard = words.clone();
    std::panic::set_hook(Box::new(move |panic| {
        if let Ok(mut words) = heard.lock()
            && words.is_empty()
        {
            *words = panic.to_string();
        }
    }));
    let result = catch_unwind(AssertUnwindSafe(work));
    std::panic::set_hook(before);
    result.unwrap_or_else(|_| {
        let words = words.lock().map(|words| words.clone()).unwrap_or_default();
        Err(Refusal {
            what: format!("{what}: {}", words.replace('\n', " ")),
            hint: "a driver that is up to date, or Mesa's (Debian and Ubuntu: apt install \
                   mesa-vulkan-drivers libx11-xcb1 libxcursor1 libxi6 libxkbcommon-x11-0), may help"
                .to_owned(),
        })
    })
}
