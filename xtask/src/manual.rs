//! The manual's pictures of the workbench: the browser tests take them into `target/screens`, and this puts them into the
//! manual when a person wants them new. Its tests hold the manual's pictures and its table of the API to what is there.

use std::fs;
use std::path::Path;

use crate::shell::{root, run_with};

/// Pictures: as the browser tests call them, and as the chapters do.
const PICTURES: [(&str, &str); 5] = [
    ("manual-folder.png", "workbench-folder.png"),
    ("manual-elevation.png", "workbench-elevation.png"),
    ("manual-edit.png", "workbench-edit.png"),
    ("manual-compare.png", "workbench-compare.png"),
    ("manual-tablet.png", "workbench-tablet.png"),
];

/// Largest picture, bytes: the manual is read over a phone's connection too.
const LARGEST_BYTES: usize = 200_000;

/// Takes the pictures and puts them into the manual.
pub(crate) fn pictures() -> Result<(), String> {
    run_with(
        "cargo",
        &[
            "test",
            "--package",
            "halfglass",
            "--test",
            "browser",
            "practice_the_manuals_pictures_are_taken",
        ],
        &[],
    )?;
    put(&root().join("target/screens"), &images())
}

fn images() -> std::path::PathBuf {
    root().join("docs/src/images")
}

/// Copies the pictures, all or none.
fn put(from: &Path, to: &Path) -> Result<(), String> {
    let mut taken = Vec::new();
    for (name, in_manual) in PICTURES {
        let path = from.join(name);
        let bytes = fs::read(&path).map_err(|error| format!("{}: {error}", path.display()))?;
        if bytes.len() > LARGEST_BYTES {
            return Err(format!(
                "{}: {} bytes, at most {LARGEST_BYTES}; show less of the page",
                path.display(),
                bytes.len()
            ));
        }
        taken.push((in_manual, bytes));
    }
    for (in_manual, bytes) in taken {
        let path = to.join(in_manual);
        fs::write(&path, bytes).map_err(|error| format!("{}: {error}", path.display()))?;
        println!("xtask: {}", path.display());
    }
    println!("xtask: look at each before you commit it");
    Ok(())
}

#[cfg(test)]
#[allow(
    clippy::unwrap_used,
    reason = "a test that cannot read the manual has failed"
)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    /// The chapters, README beside them: name and text.
    fn chapters() -> Vec<(String, String)> {
        let mut chapters: Vec<(String, String)> = fs::read_dir(root().join("docs/src"))
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.extension().is_some_and(|ending| ending == "md"))
            .map(|path| {
                (
                    path.display().to_string(),
                    fs::read_to_string(path).unwrap(),
                )
            })
            .collect();
        let readme = fs::read_to_string(root().join("README.md")).unwrap();
        chapters.push(("README.md".into(), readme));
        chapters
    }

    /// Targets of `![words](target)`, with the words.
    fn pictures_of(text: &str) -> Vec<(&str, &str)> {
        text.split("![")
            .skip(1)
            .filter_map(|rest| {
                let (words, rest) = rest.split_once("](")?;
                Some((words, rest.split_once(')')?.0))
            })
            .collect()
    }

    #[test]
    fn property_every_picture_that_a_chapter_names_is_there_and_every_picture_is_named() {
        let mut named = BTreeSet::new();
        for (chapter, text) in chapters() {
            for (words, target) in pictures_of(&text) {
                let name = target.rsplit('/').next().unwrap();
                assert!(
                    images().join(name).is_file(),
                    "{chapter}: there is no {target}"
                );
                assert!(
                    words.len() > 20,
                    "{chapter}: {target} is not told in words to who does not see it"
                );
                named.insert(name.to_owned());
            }
        }
        for entry in fs::read_dir(images()).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            assert!(named.contains(&name), "no chapter names {name}");
            assert!(
                fs::metadata(&path).unwrap().len() <= LARGEST_BYTES as u64,
                "{name} is larger than {LARGEST_BYTES} bytes"
            );
        }
        for (_, name) in PICTURES {
            assert!(named.contains(name), "{name} is taken and not shown");
        }
    }

    #[test]
    fn property_pictures_are_put_into_the_manual_all_or_none() {
        let scratch =
            std::env::temp_dir().join(format!("halfglass-pictures-{}", std::process::id()));
        let (from, to) = (scratch.join("from"), scratch.join("to"));
        fs::create_dir_all(&from).unwrap();
        fs::create_dir_all(&to).unwrap();
        let [others @ .., (last, _)] = &PICTURES;
        for (name, _) in others {
            fs::write(from.join(name), "picture").unwrap();
        }
        assert!(put(&from, &to).unwrap_err().contains(last));
        assert_eq!(fs::read_dir(&to).unwrap().count(), 0);
        fs::write(from.join(last), vec![0; LARGEST_BYTES + 1]).unwrap();
        assert!(put(&from, &to).unwrap_err().contains("at most"));
        fs::write(from.join(last), "picture").unwrap();
        put(&from, &to).unwrap();
        assert_eq!(fs::read_dir(&to).unwrap().count(), PICTURES.len());
        fs::remove_dir_all(&scratch).unwrap();
    }

    /// The table of `api.md` and the served description name the same requests.
    #[test]
    fn property_the_manuals_table_of_the_api_is_the_one_that_is_served() {
        let served = fs::read_to_string(root().join("crates/web/src/api/openapi.json")).unwrap();
        let served: serde_json::Value = serde_json::from_str(&served).unwrap();
        let mut requests = BTreeSet::new();
        for (path, methods) in served["paths"].as_object().unwrap() {
            for method in methods.as_object().unwrap().keys() {
                if matches!(method.as_str(), "get" | "post" | "put" | "delete" | "patch") {
                    requests.insert(format!("{} {BASE}{path}", method.to_uppercase()));
                }
            }
        }
        let chapter = fs::read_to_string(root().join("docs/src/api.md")).unwrap();
        let told: BTreeSet<String> = chapter
            .lines()
            .filter_map(|line| line.strip_prefix("| `")?.split_once('`'))
            .map(|(request, _)| request.to_owned())
            .collect();
        assert_eq!(told, requests);
    }

    /// Where the API starts.
    const BASE: &str = "/api/v1";
}
