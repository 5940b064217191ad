//! A workbench that serves copies of the examples, for as long as something is run against it.

use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStderr, Command, Stdio};

use crate::shell::{root, target};

/// A workbench on copies of the examples; it ends with this value.
pub(crate) struct Served {
    process: Child,
    /// Held open, so that what it says later finds a reader.
    said: BufReader<ChildStderr>,
    /// Address, without a slash at its end.
    pub(crate) url: String,
}

impl Served {
    /// Copies the examples into a fresh folder under the target and serves it on a free port of the loopback.
    pub(crate) fn start(binary: &Path, purpose: &str) -> Result<Self, String> {
        let folder = target().join("served").join(purpose);
        copy_examples(&folder)?;
        let mut command = Command::new(binary);
        command
            .arg("serve")
            .arg(&folder)
            .args(["--listen", "127.0.0.1:0"]);
        Self::waiting(command)
    }

    /// Starts a server and waits until it says its address.
    pub(crate) fn waiting(mut command: Command) -> Result<Self, String> {
        let mut process = command
            .stderr(Stdio::piped())
            .spawn()
            .map_err(|error| format!("{}: {error}", command.get_program().display()))?;
        let out = process.stderr.take().ok_or("the workbench says nothing")?;
        let mut served = Self {
            process,
            said: BufReader::new(out),
            url: String::new(),
        };
        let mut line = String::new();
        while served
            .said
            .read_line(&mut line)
            .map_err(|error| error.to_string())?
            > 0
        {
            if let Some(at) = line.find("http://") {
                line[at..]
                    .trim()
                    .trim_end_matches('/')
                    .clone_into(&mut served.url);
                return Ok(served);
            }
            line.clear();
        }
        Err("a server ended without saying where it listens".into())
    }

    /// Most memory that the process held at once, MB; `None` where the system does not tell.
    pub(crate) fn most_memory_mb(&self) -> Option<f64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.process.id())).ok()?;
        let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
        let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
        Some(kilobytes / 1024.0)
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

fn copy_examples(folder: &Path) -> Result<(), String> {
    let say = |error: std::io::Error| format!("{}: {error}", folder.display());
    if folder.exists() {
        std::fs::remove_dir_all(folder).map_err(say)?;
    }
    std::fs::create_dir_all(folder).map_err(say)?;
    for entry in std::fs::read_dir(examples()).map_err(say)? {
        let path = entry.map_err(say)?.path();
        if let Some(name) = path
            .file_name()
            .filter(|_| path.extension().is_some_and(|ending| ending == "toml"))
        {
            std::fs::copy(&path, folder.join(name)).map_err(say)?;
        }
    }
    Ok(())
}

/// The examples themselves.
pub(crate) fn examples() -> PathBuf {
    root().join("examples")
}
