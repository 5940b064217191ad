//! Saving: conflicts, two writers, versions, undo, disks that are full or may not be written.
#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot set its folder up fails"
)]

use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::{Arc, Barrier};

use halfglass_folder::{
    Folder, FolderError, LoopName, MOST_VERSIONS, Revision, Saved, VersionId, WriteError,
    write_whole,
};

fn named(name: &str) -> LoopName {
    LoopName::new(name).unwrap()
}

fn folder_with(name: &str, text: &str) -> (tempfile::TempDir, Folder) {
    let place = tempfile::tempdir().unwrap();
    let folder = Folder::open(place.path()).unwrap();
    folder.create(&named(name), text.as_bytes()).unwrap();
    (place, folder)
}

fn text(folder: &Folder, name: &str) -> String {
    String::from_utf8(folder.read(&named(name)).unwrap().bytes).unwrap()
}

#[test]
fn property_a_file_changed_meanwhile_is_not_saved_over() {
    let (place, folder) = folder_with("a", "one");
    let seen = folder.read(&named("a")).unwrap().revision;
    fs::write(place.path().join("a.toml"), "from outside").unwrap();
    let Saved::ChangedOnDisk(present) = folder.save(&named("a"), b"mine", &seen).unwrap() else {
        panic!("it was saved over");
    };
    assert_eq!(present.bytes, b"from outside");
    assert_eq!(text(&folder, "a"), "from outside");
    assert!(folder.versions(&named("a")).unwrap().is_empty());
    let saved = folder
        .save(&named("a"), b"mine", &present.revision)
        .unwrap();
    assert_eq!(saved, Saved::Whole(Revision::of(b"mine")));
    let versions = folder.versions(&named("a")).unwrap();
    let kept = folder.version(&named("a"), &versions[0].id).unwrap();
    assert_eq!(kept.bytes, b"from outside");
}

#[test]
fn property_of_writers_at_once_exactly_one_wins_and_the_others_see_it() {
    let (place, _) = folder_with("a", "start");
    for round in 0..20 {
        // Half of the threads share a folder, half open their own, as another program would.
        let shared = Arc::new(Folder::open(place.path()).unwrap());
        let seen = shared.read(&named("a")).unwrap().revision;
        let barrier = Arc::new(Barrier::new(8));
        let threads: Vec<_> = (0..8)
            .map(|thread| {
                let folder = match thread % 2 {
                    0 => Arc::clone(&shared),
                    _ => Arc::new(Folder::open(place.path()).unwrap()),
                };
                let (barrier, seen) = (Arc::clone(&barrier), seen.clone());
                std::thread::spawn(move || {
                    let mine = format!("round {round} thread {thread}");
                    barrier.wait();
                    let saved = folder.save(&named("a"), mine.as_bytes(), &seen).unwrap();
                    (mine, saved)
                })
            })
            .collect();
        let ends: Vec<_> = threads.into_iter().map(|t| t.join().unwrap()).collect();
        let winners: Vec<_> = ends
            .iter()
            .filter(|(_, saved)| matches!(saved, Saved::Whole(_)))
            .collect();
        assert_eq!(winners.len(), 1, "{ends:?}");
        assert_eq!(text(&shared, "a"), winners[0].0);
        for (_, saved) in &ends {
            if let Saved::ChangedOnDisk(present) = saved {
                assert_eq!(present.bytes, winners[0].0.as_bytes());
            }
        }
    }
}

#[test]
fn property_a_reader_meets_whole_texts_while_others_save() {
    let (_place, folder) = folder_with("a", &"0".repeat(9000));
    std::thread::scope(|scope| {
        let writer = scope.spawn(|| {
            for turn in 1..100 {
                let seen = folder.read(&named("a")).unwrap().revision;
                let mine = (turn % 10).to_string().repeat(9000);
                folder.save(&named("a"), mine.as_bytes(), &seen).unwrap();
            }
        });
        while !writer.is_finished() {
            let bytes = folder.read(&named("a")).unwrap().bytes;
            assert!(bytes.len() == 9000 && bytes.iter().all(|b| *b == bytes[0]));
        }
    });
}

#[test]
fn property_every_save_is_a_version_in_order_and_the_newest_are_kept() {
    let (_place, folder) = folder_with("a", "0");
    let last = MOST_VERSIONS + 20;
    for turn in 1..=last {
        let seen = folder.read(&named("a")).unwrap().revision;
        folder
            .save(&named("a"), turn.to_string().as_bytes(), &seen)
            .unwrap();
    }
    let versions = folder.versions(&named("a")).unwrap();
    assert_eq!(versions.len(), MOST_VERSIONS);
    for (place, version) in versions.iter().enumerate() {
        let kept = folder.version(&named("a"), &version.id).unwrap();
        assert_eq!(kept.bytes, (last - 1 - place).to_string().as_bytes());
        assert!(kept.revision.as_str().starts_with(version.id.short()));
        assert_eq!(
            VersionId::parse(version.id.as_str()),
            Some(version.id.clone())
        );
    }
}

#[test]
fn property_undo_goes_back_and_undone_again_forward() {
    let (_place, folder) = folder_with("a", "one");
    let revision = || folder.read(&named("a")).unwrap().revision;
    assert!(matches!(
        folder.undo(&named("a"), &revision()),
        Err(FolderError::NothingEarlier(_))
    ));
    folder.save(&named("a"), b"two", &revision()).unwrap();
    for expected in ["one", "two", "one"] {
        folder.undo(&named("a"), &revision()).unwrap();
        assert_eq!(text(&folder, "a"), expected);
    }
    let stale = Revision::of(b"another text");
    assert!(matches!(
        folder.undo(&named("a"), &stale),
        Ok(Saved::ChangedOnDisk(_))
    ));
    let oldest = folder.versions(&named("a")).unwrap().pop().unwrap();
    folder.save(&named("a"), b"three", &revision()).unwrap();
    folder
        .bring_back(&named("a"), &oldest.id, &revision())
        .unwrap();
    assert_eq!(text(&folder, "a"), "one");
    let newest = &folder.versions(&named("a")).unwrap()[0];
    let kept = folder.version(&named("a"), &newest.id).unwrap();
    assert_eq!(kept.bytes, b"three");
}

#[test]
fn property_what_is_too_large_is_neither_read_nor_written() {
    let (place, folder) = folder_with("a", "one");
    let large = vec![b'x'; (1 << 20) + 1];
    let seen = Revision::of(b"one");
    for refused in [
        folder.create(&named("b"), &large).err(),
        folder.save(&named("a"), &large, &seen).err(),
    ] {
        assert!(matches!(refused, Some(FolderError::TooLarge { .. })));
    }
    fs::write(place.path().join("c.toml"), &large).unwrap();
    let read = folder.read(&named("c"));
    assert!(matches!(read, Err(FolderError::TooLarge { .. })));
    folder.create(&named("d"), &large[1..]).unwrap();
    assert_eq!(folder.read(&named("d")).unwrap().bytes.len(), 1 << 20);
}

#[test]
fn property_only_text_is_imported() {
    let (_place, folder) = folder_with("a", "one");
    for (bytes, at) in [(&b"ab\xffcd"[..], 2), (b"abc\0", 3), (b"\x89PNG\r\n", 0)] {
        assert!(matches!(
            folder.import(&named("b"), bytes),
            Err(FolderError::NotText(byte)) if byte == at
        ));
    }
    let bytes = "\u{feff}tag = \"ä\"\r\n".as_bytes();
    folder.import(&named("b"), bytes).unwrap();
    assert_eq!(folder.read(&named("b")).unwrap().bytes, bytes);
}

#[test]
fn practice_a_file_marked_read_only_is_not_saved_over() {
    let (place, folder) = folder_with("a", "one");
    let path = place.path().join("a.toml");
    let mut permissions = fs::metadata(&path).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions).unwrap();
    let refused = folder.save(&named("a"), b"two", &Revision::of(b"one"));
    assert!(matches!(
        refused,
        Err(FolderError::Write {
            source: WriteError::NotPermitted(_),
            ..
        })
    ));
    assert_eq!(text(&folder, "a"), "one");
    assert!(folder.versions(&named("a")).unwrap().is_empty());
}

/// Mounts for one test; taken down on drop.
struct Mount<'a>(&'a Path);

impl<'a> Mount<'a> {
    fn new(at: &'a Path, arguments: &[&str]) -> Result<Self, String> {
        let mount = Command::new("mount").args(arguments).arg(at).output();
        match mount {
            Ok(output) if output.status.success() => Ok(Self(at)),
            Ok(output) => Err(String::from_utf8_lossy(&output.stderr).into_owned()),
            Err(error) => Err(error.to_string()),
        }
    }
}

impl Drop for Mount<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0).status();
    }
}

#[test]
fn property_a_full_disk_leaves_every_file_as_it_was() {
    let place = tempfile::tempdir().unwrap();
    let _mount = match Mount::new(place.path(), &["-t", "tmpfs", "-o", "size=256k", "tmpfs"]) {
        Ok(mount) => mount,
        Err(why) => {
            // Without the right to mount, the system's own full device stands for the disk.
            println!(
                "NOT POSSIBLE HERE: a small disk of its own ({})",
                why.trim()
            );
            #[cfg(target_os = "linux")]
            assert!(matches!(
                write_whole(Path::new("/dev/full"), b"text"),
                Err(WriteError::DiskFull(_))
            ));
            return;
        }
    };
    let folder = Folder::open(place.path()).unwrap();
    let small = vec![b'a'; 1000];
    folder.create(&named("a"), &small).unwrap();
    let large = vec![b'b'; 400_000];
    let is_full = |error: FolderError| {
        matches!(
            error,
            FolderError::Write {
                source: WriteError::DiskFull(_),
                ..
            }
        )
    };
    assert!(is_full(folder.create(&named("b"), &large).unwrap_err()));
    assert!(is_full(
        folder
            .save(&named("a"), &large, &Revision::of(&small))
            .unwrap_err()
    ));
    assert_eq!(folder.read(&named("a")).unwrap().bytes, small);
    assert!(folder.versions(&named("a")).unwrap().is_empty());
    let entries: Vec<_> = fs::read_dir(place.path()).unwrap().flatten().collect();
    assert_eq!(entries.len(), 2, "no part is left: {entries:?}");
    assert!(matches!(
        write_whole(&place.path().join("c"), &large),
        Err(WriteError::DiskFull(_))
    ));
    // What frees room still works, and then saving does.
    folder.trash(&named("a")).unwrap();
    folder.create(&named("b"), &small).unwrap();
}

#[test]
fn property_a_read_only_disk_is_read_and_said_to_be_one() {
    let (place, folder) = folder_with("a", "one");
    let path = place.path().display().to_string();
    let mounted = Mount::new(place.path(), &["--bind", &path]).and_then(|mount| {
        Mount::new(place.path(), &["-o", "remount,bind,ro"]).map(|again| {
            std::mem::forget(again);
            mount
        })
    });
    let _mount = match mounted {
        Ok(mount) => mount,
        Err(why) => {
            println!("NOT POSSIBLE HERE: a read-only mount ({})", why.trim());
            let below_a_file = place.path().join("a.toml").join("b.toml");
            assert!(write_whole(&below_a_file, b"x").is_err());
            return;
        }
    };
    // The folder that was opened before stands on what was there before the mount: open anew.
    drop(folder);
    let folder = Folder::open(place.path()).unwrap();
    assert_eq!(text(&folder, "a"), "one");
    for refused in [
        folder
            .save(&named("a"), b"two", &Revision::of(b"one"))
            .err(),
        folder.create(&named("b"), b"x").err(),
        folder.rename(&named("a"), &named("b")).err(),
        folder.trash(&named("a")).err(),
        folder.duplicate(&named("a"), &named("b")).err(),
    ] {
        assert!(
            matches!(
                refused,
                Some(FolderError::Write {
                    source: WriteError::NotPermitted(_),
                    ..
                })
            ),
            "{refused:?}"
        );
    }
    assert_eq!(text(&folder, "a"), "one");
}

#[test]
fn property_a_folder_below_a_file_is_none() {
    let (place, _folder) = folder_with("a", "one");
    let below = place.path().join("a.toml").join("x");
    assert!(matches!(
        Folder::open(&below),
        Err(FolderError::NotAFolder { .. })
    ));
    assert!(matches!(
        write_whole(&below, b"x"),
        Err(WriteError::NoFolder)
    ));
    assert_eq!(fs::read(place.path().join("a.toml")).unwrap(), b"one");
}
