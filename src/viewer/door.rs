//! Looks whether there is a display and something that can draw, before anything is built that would fall over
//! without; each lack is one sentence and what to do about it.

use crate::view::Refusal;
use bevy::tasks::block_on;
use std::env;
use std::path::PathBuf;

/// What can draw.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drawer {
    /// A graphics card.
    Card,
    /// The processor, slowly.
    Software,
}

/// Asks for something that can draw.
///
/// # Errors
/// There is none.
pub fn drawer() -> Result<Drawer, Refusal> {
    let instance = wgpu::Instance::new(wgpu::InstanceDescriptor {
        backends: wgpu::Backends::from_env().unwrap_or(wgpu::Backends::PRIMARY),
        ..wgpu::InstanceDescriptor::new_without_display_handle()
    });
    let options = wgpu::RequestAdapterOptions {
        power_preference: wgpu::PowerPreference::HighPerformance,
        ..wgpu::RequestAdapterOptions::default()
    };
    match block_on(instance.request_adapter(&options)) {
        Ok(adapter) => Ok(match adapter.get_info().device_type {
            wgpu::DeviceType::Cpu => Drawer::Software,
            _ => Drawer::Card,
        }),
        Err(_) => Err(no_drawer()),
    }
}

fn no_drawer() -> Refusal {
    Refusal {
        what: "nothing on this machine can draw in 3D: no Vulkan driver was found".to_owned(),
        hint: if cfg!(target_os = "linux") {
            "install the driver of your graphics card, or Mesa's, which also draws without a card \
             (Debian and Ubuntu: apt install mesa-vulkan-drivers)"
        } else {
            "install the driver of your graphics card"
        }
        .to_owned(),
    }
}

/// Looks for a display to open a window on.
///
/// # Errors
/// There is none, or it does not answer.
pub fn display() -> Result<(), Refusal> {
    if !cfg!(all(unix, not(target_os = "macos"))) {
        return Ok(());
    }
    let set = |name: &str| env::var_os(name).filter(|value| !value.is_empty());
    check(
        set("WAYLAND_DISPLAY").map(PathBuf::from),
        set("XDG_RUNTIME_DIR").map(PathBuf::from),
        set("DISPLAY").map(|value| value.to_string_lossy().into_owned()),
    )
}

/// Wayland first, as the window's own library does.
fn check(
    wayland: Option<PathBuf>,
    runtime: Option<PathBuf>,
    x11: Option<String>,
) -> Result<(), Refusal> {
    let wayland = wayland.map(|name| runtime.unwrap_or_default().join(name));
    if let Some(socket) = &wayland
        && answers(socket)
    {
        return Ok(());
    }
    match (&wayland, &x11) {
        (_, Some(name)) => match x11_socket(name) {
            // Elsewhere on the network: only trying it can tell.
            None => Ok(()),
            Some(socket) if answers(&socket) => Ok(()),
            Some(_) => Err(no_display(format!(
                "the display {name} that DISPLAY names does not answer"
            ))),
        },
        (Some(socket), None) => Err(no_display(format!(
            "the display {} that WAYLAND_DISPLAY names does not answer",
            socket.display()
        ))),
        (None, None) => Err(no_display(
            "there is no display to open a window on".to_owned(),
        )),
    }
}

fn no_display(what: String) -> Refusal {
    Refusal {
        what,
        hint: "run it on a desktop, or write a picture without one: \
               `hulltent view BOAT --shot FILE.png`"
            .to_owned(),
    }
}

/// The socket of an X display on this machine; `None` where it is elsewhere.
fn x11_socket(display: &str) -> Option<PathBuf> {
    let (host, number) = display.rsplit_once(':')?;
    let number = number.split('.').next().filter(|number| {
        !number.is_empty() && number.chars().all(|digit| digit.is_ascii_digit())
    })?;
    (host.is_empty() || host == "unix").then(|| PathBuf::from(format!("/tmp/.X11-unix/X{number}")))
}

#[cfg(unix)]
fn answers(socket: &std::path::Path) -> bool {
    std::os::unix::net::UnixStream::connect(socket).is_ok()
}

#[cfg(not(unix))]
fn answers(_: &std::path::Path) -> bool {
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_display_is_one_sentence_and_what_to_do() {
        for (wayland, x11, wanted) in [
            (None, None, "there is no display"),
            (None, Some(":4711"), "the display :4711"),
            (Some("nowhere-0"), None, "WAYLAND_DISPLAY"),
            (Some("nowhere-0"), Some(":4711.0"), "DISPLAY"),
        ] {
            let refusal = check(
                wayland.map(PathBuf::from),
                Some(PathBuf::from("/nonexistent")),
                x11.map(str::to_owned),
            )
            .unwrap_err();
            assert!(refusal.what.contains(wanted), "{refusal}");
            assert!(refusal.hint.contains("--shot"), "{refusal}");
            assert!(!refusal.what.contains('\n'));
        }
        // A display elsewhere is for the window's library to try.
        assert_eq!(check(None, None, Some("far:0".to_owned())), Ok(()));
    }

    #[cfg(unix)]
    #[test]
    fn a_display_that_answers_is_taken() {
        let folder = tempfile::tempdir().unwrap();
        let socket = folder.path().join("wayland-7");
        let _listener = std::os::unix::net::UnixListener::bind(socket).unwrap();
        let found = check(
            Some(PathBuf::from("wayland-7")),
            Some(folder.path().to_owned()),
            None,
        );
        assert_eq!(found, Ok(()));
    }

    #[test]
    fn x_displays_are_told_apart() {
        for (name, socket) in [
            (":0", Some("/tmp/.X11-unix/X0")),
            (":99.1", Some("/tmp/.X11-unix/X99")),
            ("unix:1", Some("/tmp/.X11-unix/X1")),
            ("host:10.0", None),
            ("odd", None),
        ] {
            assert_eq!(x11_socket(name), socket.map(PathBuf::from), "{name}");
        }
    }
}
