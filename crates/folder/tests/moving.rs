//! Names, renaming, duplicates and trash; links, folders and devices are left alone.
#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot set its folder up fails"
)]

use std::fs;
use std::path::Path;

use halfglass_folder::{Folder, FolderError, LoopName, Revision, Saved, TrashId};

fn named(name: &str) -> LoopName {
    LoopName::new(name).unwrap()
}

fn folder_with(name: &str, text: &str) -> (tempfile::TempDir, Folder) {
    let place = tempfile::tempdir().unwrap();
    let folder = Folder::open(place.path()).unwrap();
    folder.create(&named(name), text.as_bytes()).unwrap();
    (place, folder)
}

fn save(folder: &Folder, name: &str, text: &str) {
    let seen = folder.read(&named(name)).unwrap().revision;
    let saved = folder.save(&named(name), text.as_bytes(), &seen).unwrap();
    assert!(matches!(saved, Saved::Whole(_)));
}

fn text(folder: &Folder, name: &str) -> String {
    String::from_utf8(folder.read(&named(name)).unwrap().bytes).unwrap()
}

fn names(folder: &Folder) -> Vec<String> {
    let listing = folder.list().unwrap();
    listing.loops.iter().map(|l| l.name.to_string()).collect()
}

#[test]
fn property_versions_move_along_with_a_new_name() {
    let (_place, folder) = folder_with("a", "one");
    save(&folder, "a", "two");
    folder
        .rename(&named("a"), &named("Kessel 2 (Süd)"))
        .unwrap();
    assert_eq!(names(&folder), ["Kessel 2 (Süd)"]);
    assert_eq!(text(&folder, "Kessel 2 (Süd)"), "two");
    assert_eq!(folder.versions(&named("Kessel 2 (Süd)")).unwrap().len(), 1);
    assert!(folder.versions(&named("a")).unwrap().is_empty());
    // Onto a shelf that an earlier loop of the name left.
    folder.create(&named("b"), b"b").unwrap();
    save(&folder, "b", "bb");
    fs::remove_file(folder.path().join("b.toml")).unwrap();
    folder
        .rename(&named("Kessel 2 (Süd)"), &named("b"))
        .unwrap();
    assert_eq!(folder.versions(&named("b")).unwrap().len(), 2);
}

#[test]
fn property_a_name_may_change_in_its_letter_case_only() {
    let (_place, folder) = folder_with("boiler", "one");
    save(&folder, "boiler", "two");
    folder.rename(&named("boiler"), &named("Boiler")).unwrap();
    assert_eq!(names(&folder), ["Boiler"]);
    assert_eq!(folder.versions(&named("Boiler")).unwrap().len(), 1);
    folder.rename(&named("Boiler"), &named("Boiler")).unwrap();
    assert_eq!(text(&folder, "Boiler"), "two");
}

#[test]
fn property_nothing_is_written_over_another_loop() {
    let (_place, folder) = folder_with("a", "one");
    folder.create(&named("B"), b"other").unwrap();
    let taken = |error| matches!(error, Some(FolderError::Taken(_)));
    for name in ["B", "b"] {
        assert!(taken(folder.create(&named(name), b"x").err()));
        assert!(taken(folder.import(&named(name), b"x").err()));
        assert!(taken(folder.duplicate(&named("a"), &named(name)).err()));
        assert!(taken(folder.rename(&named("a"), &named(name)).err()));
    }
    assert_eq!(text(&folder, "B"), "other");
    let id = folder.trash(&named("a")).unwrap();
    assert!(taken(folder.restore(&id, &named("b")).err()));
    assert_eq!(names(&folder), ["B"]);
    folder.restore(&id, &named("a")).unwrap();
    assert_eq!(names(&folder), ["B", "a"]);
}

#[test]
fn property_a_duplicate_is_the_same_text_and_a_loop_of_its_own() {
    let (_place, folder) = folder_with("a", "one");
    save(&folder, "a", "two");
    let revision = folder.duplicate(&named("a"), &named("b")).unwrap();
    assert_eq!(revision, Revision::of(b"two"));
    save(&folder, "b", "three");
    assert_eq!(text(&folder, "a"), "two");
    assert_eq!(folder.versions(&named("b")).unwrap().len(), 1);
    let missing = folder.duplicate(&named("none"), &named("c"));
    assert!(matches!(missing, Err(FolderError::Missing(_))));
}

#[test]
fn property_what_was_deleted_comes_back_with_its_versions() {
    let (_place, folder) = folder_with("a", "one");
    save(&folder, "a", "two");
    let first = folder.trash(&named("a")).unwrap();
    assert!(names(&folder).is_empty());
    folder.create(&named("a"), b"new").unwrap();
    assert!(
        folder.versions(&named("a")).unwrap().is_empty(),
        "a new loop of the name"
    );
    let second = folder.trash(&named("a")).unwrap();
    let ids: Vec<TrashId> = folder
        .trashed()
        .unwrap()
        .into_iter()
        .map(|t| t.id)
        .collect();
    assert_eq!(
        ids,
        [second.clone(), first.clone()],
        "newest first, none overwritten"
    );
    assert_eq!(TrashId::parse(&first.to_string()), Some(first.clone()));
    folder.restore(&first, &named("a")).unwrap();
    assert_eq!(text(&folder, "a"), "two");
    assert_eq!(folder.versions(&named("a")).unwrap().len(), 1);
    folder.restore(&second, &named("b")).unwrap();
    assert_eq!(text(&folder, "b"), "new");
    assert!(folder.trashed().unwrap().is_empty());
    let again = folder.restore(&first, &named("c"));
    assert!(matches!(again, Err(FolderError::Missing(_))));
    for crafted in [
        "20261125T184716.123Z-../a",
        "../../a",
        "20261125T184716.123Z-",
        "20261125T184716.123Z",
        "é0261125T184716.123Z-a",
    ] {
        assert_eq!(TrashId::parse(crafted), None);
    }
}

#[cfg(unix)]
mod links {
    use super::*;
    use std::os::unix::fs::symlink;

    /// A folder with a link, a link to nothing, a folder and, where they can be made, a pipe and a device called like
    /// loops; and a file outside that no call may touch.
    fn trap() -> (
        tempfile::TempDir,
        tempfile::TempDir,
        Folder,
        Vec<&'static str>,
    ) {
        let outside = tempfile::tempdir().unwrap();
        fs::write(outside.path().join("secret.toml"), "secret").unwrap();
        let (place, folder) = folder_with("good", "one");
        let at = |name: &str| place.path().join(format!("{name}.toml"));
        symlink(outside.path().join("secret.toml"), at("link")).unwrap();
        symlink("/no/such/place", at("dangling")).unwrap();
        fs::create_dir(at("folder")).unwrap();
        let mut made = vec!["link", "dangling", "folder"];
        for (name, arguments) in [("pipe", &["p"][..]), ("device", &["c", "1", "7"])] {
            let mut mknod = std::process::Command::new("mknod");
            match mknod.arg(at(name)).args(arguments).output() {
                Ok(output) if output.status.success() => made.push(name),
                other => println!("NOT POSSIBLE HERE: a {name} ({other:?})"),
            }
        }
        (outside, place, folder, made)
    }

    fn untouched(outside: &Path) {
        assert_eq!(fs::read(outside.join("secret.toml")).unwrap(), b"secret");
        assert_eq!(fs::read_dir(outside).unwrap().count(), 1);
    }

    #[test]
    fn property_links_folders_and_devices_are_no_loops() {
        let (outside, _place, folder, made) = trap();
        let listing = folder.list().unwrap();
        assert_eq!(listing.loops.len(), 1);
        assert_eq!(listing.refused.len(), made.len());
        for name in made {
            let not_a_file = |error| matches!(error, Some(FolderError::NotAFile(_)));
            let name = named(name);
            assert!(not_a_file(folder.read(&name).err()), "{name}");
            let secret = Revision::of(b"secret");
            assert!(
                not_a_file(folder.save(&name, b"x", &secret).err()),
                "{name}"
            );
            assert!(
                not_a_file(folder.rename(&name, &named("new")).err()),
                "{name}"
            );
            assert!(not_a_file(folder.trash(&name).err()), "{name}");
            assert!(
                not_a_file(folder.duplicate(&name, &named("new")).err()),
                "{name}"
            );
            let taken = folder.create(&name, b"x");
            assert!(matches!(taken, Err(FolderError::Taken(_))), "{name}");
        }
        untouched(outside.path());
    }

    #[test]
    fn property_an_own_place_that_is_a_link_is_refused() {
        let outside = tempfile::tempdir().unwrap();
        fs::write(outside.path().join("secret.toml"), "secret").unwrap();
        let place = tempfile::tempdir().unwrap();
        fs::write(place.path().join("a.toml"), "one").unwrap();
        symlink(outside.path(), place.path().join(".halfglass")).unwrap();
        let refused = Folder::open(place.path());
        assert!(matches!(refused, Err(FolderError::NotOurs(_))));

        for inner in ["versions", "trash", "lock", "versions/a"] {
            let place = tempfile::tempdir().unwrap();
            fs::write(place.path().join("a.toml"), "one").unwrap();
            let inner = place.path().join(".halfglass").join(inner);
            fs::create_dir_all(inner.parent().unwrap()).unwrap();
            symlink(outside.path().join("secret.toml"), &inner).unwrap();
            let folder = Folder::open(place.path()).unwrap();
            let save = folder.save(&named("a"), b"two", &Revision::of(b"one"));
            let trash = folder.trash(&named("a"));
            let refused = [save.is_err(), trash.is_err()];
            assert!(refused.contains(&true), "{inner:?}");
            for error in [save.err(), trash.err()].into_iter().flatten() {
                assert!(matches!(error, FolderError::NotOurs(_)), "{error:?}");
            }
            untouched(outside.path());

            fs::remove_file(&inner).unwrap();
            symlink(outside.path(), &inner).unwrap();
            let folder = Folder::open(place.path()).unwrap();
            let _ = folder.save(&named("a"), b"two", &Revision::of(b"one"));
            let _ = folder.trash(&named("a"));
            untouched(outside.path());
        }
    }

    #[test]
    fn property_a_link_among_versions_or_trash_is_not_followed() {
        let (outside, place, folder, _) = trap();
        save(&folder, "good", "two");
        let version = folder.versions(&named("good")).unwrap()[0].id.clone();
        let own = place.path().join(".halfglass");
        let file = own.join(format!("versions/good/{}.toml", version.as_str()));
        fs::remove_file(&file).unwrap();
        symlink(outside.path().join("secret.toml"), &file).unwrap();
        assert!(folder.versions(&named("good")).unwrap().is_empty());
        let read = folder.version(&named("good"), &version);
        assert!(matches!(read, Err(FolderError::NotAFile(_))));
        let id = folder.trash(&named("good")).unwrap();
        let trashed = own.join(format!("trash/{id}.toml"));
        fs::remove_file(&trashed).unwrap();
        symlink(outside.path().join("secret.toml"), &trashed).unwrap();
        assert!(folder.trashed().unwrap().is_empty());
        assert!(matches!(
            folder.restore(&id, &named("x")),
            Err(FolderError::NotAFile(_))
        ));
        untouched(outside.path());
    }

    #[test]
    fn property_a_save_keeps_the_permissions() {
        use std::os::unix::fs::PermissionsExt as _;
        let (place, folder) = folder_with("a", "one");
        let path = place.path().join("a.toml");
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        save(&folder, "a", "two");
        assert_eq!(
            fs::metadata(&path).unwrap().permissions().mode() & 0o777,
            0o640
        );
    }
}
