//! Killed while it saves, two hundred times: the file is always one of the two texts, whole, and the folder opens.
#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot set its folder up fails"
)]

use std::collections::hash_map::RandomState;
use std::fs;
use std::hash::{BuildHasher as _, Hasher as _};
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use halfglass_folder::{Folder, LoopName, MOST_VERSIONS};

const KILLS: u32 = 200;

/// Longest life after the first word at the beginning, microseconds: several saves on a machine that is idle.
const LONGEST_LIFE_US: u64 = 10_000;

/// Kills in a row that find the same text before lives are made longer, as a busy machine needs them: by chance alone it
/// comes to that once in a thousand.
const SAME_IN_A_ROW: u32 = 10;

/// No life is made longer than this, microseconds.
const LIFE_END_US: u64 = 160_000;

/// Bytes of a text: those of a loop file, so that the time goes into the disk and not into hashes.
const TEXT_BYTES: usize = 5_000;

/// Cargo builds the examples of a package before it runs its tests.
fn saver() -> PathBuf {
    let test = std::env::current_exe().unwrap();
    let built = test.parent().and_then(Path::parent).unwrap();
    let saver = built
        .join("examples/saver")
        .with_extension(std::env::consts::EXE_EXTENSION);
    assert!(
        saver.exists(),
        "{} is missing: run `cargo build -p halfglass-folder --examples`",
        saver.display()
    );
    saver
}

fn parts(folder: &Path) -> usize {
    let names = |folder: &Path| {
        fs::read_dir(folder)
            .into_iter()
            .flatten()
            .flatten()
            .filter(|entry| entry.file_name().to_string_lossy().ends_with(".part"))
            .count()
    };
    names(folder) + names(&folder.join(".halfglass/versions/boiler-1"))
}

#[test]
fn property_a_kill_during_a_save_leaves_the_old_text_or_the_new_one() {
    let outside = tempfile::tempdir().unwrap();
    let texts = [b'a', b'b'].map(|letter| [letter].repeat(TEXT_BYTES));
    let files = ["a", "b"].map(|name| outside.path().join(name));
    for (file, text) in files.iter().zip(&texts) {
        fs::write(file, text).unwrap();
    }
    let folder = tempfile::tempdir().unwrap();
    let name = LoopName::new("boiler-1").unwrap();
    let place = folder.path().join("boiler-1.toml");
    fs::write(&place, &texts[0]).unwrap();
    let saver = saver();
    let (mut left_parts, mut seen) = (0, [0_u32; 2]);
    let (mut longest_life_us, mut last, mut same) = (LONGEST_LIFE_US, 0, 0);
    for kill in 0..KILLS {
        let mut child = Command::new(&saver)
            .arg(folder.path())
            .arg("boiler-1")
            .args(&files)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut words = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut words)
            .unwrap();
        assert_eq!(words, "ready\n", "start {kill}");
        let life_us = RandomState::new().build_hasher().finish() % longest_life_us;
        std::thread::sleep(Duration::from_micros(life_us));
        assert!(child.try_wait().unwrap().is_none(), "it saves until killed");
        child.kill().unwrap();
        child.wait().unwrap();

        let text = fs::read(&place).unwrap();
        let which = texts
            .iter()
            .position(|whole| *whole == text)
            .unwrap_or_else(|| panic!("kill {kill}: a torn file of {} bytes", text.len()));
        seen[which] += 1;
        same = if which == last { same + 1 } else { 0 };
        last = which;
        if same == SAME_IN_A_ROW {
            longest_life_us = (2 * longest_life_us).min(LIFE_END_US);
            same = 0;
        }
        left_parts += parts(folder.path());
        let opened = Folder::open(folder.path()).unwrap();
        assert_eq!(parts(folder.path()), 0, "kill {kill}: parts are swept");
        assert_eq!(opened.list().unwrap().loops.len(), 1);
        let versions = opened.versions(&name).unwrap();
        assert!(versions.len() <= MOST_VERSIONS + 1);
        if let Some(newest) = versions.first() {
            let kept = opened.version(&name, &newest.id).unwrap().bytes;
            assert!(texts.contains(&kept), "kill {kill}: a torn version");
        }
    }
    println!(
        "{KILLS} kills: texts seen {seen:?}, part files left and swept {left_parts}, lives up to {longest_life_us} us"
    );
    // Kills that never fall into a save would prove nothing.
    assert!(left_parts > 0 && seen.iter().all(|times| *times > 0));
    let opened = Folder::open(folder.path()).unwrap();
    for version in opened.versions(&name).unwrap() {
        assert!(texts.contains(&opened.version(&name, &version.id).unwrap().bytes));
    }
}
