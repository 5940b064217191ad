//! Names that a file does not have, and what was probably meant.

use toml::Spanned;
use toml::de::{DeString, DeValue};

use crate::keys::{Catalog, Key};
use crate::problem::{Label, Problem};

/// The candidate that a name is most like, if it is like any.
pub(crate) fn nearest<'a>(
    name: &str,
    candidates: impl Iterator<Item = &'a str>,
) -> Option<&'a str> {
    // Longer names are not meant as any of ours, and comparing them costs the square of their length.
    if name.len() > 60 {
        return None;
    }
    candidates
        .map(|candidate| (candidate, likeness(name, candidate)))
        .filter(|(_, likeness)| *likeness > 0.85)
        .max_by(|left, right| left.1.total_cmp(&right.1))
        .map(|(candidate, _)| candidate)
}

/// Jaro-Winkler, of the names as written or with their words in order: `temperature-top` is meant as `top-temperature`.
fn likeness(name: &str, candidate: &str) -> f64 {
    let in_order = |words: &str| {
        let mut words: Vec<&str> = words.split(['-', '_', ' ']).collect();
        words.sort_unstable();
        words.join("-")
    };
    let as_written = strsim::jaro_winkler(name, candidate);
    // A shade below the name itself, so that the same words in the same order always win.
    as_written.max(0.99 * strsim::jaro_winkler(&in_order(name), &in_order(candidate)))
}

fn home_of(catalog: &Catalog, name: &str) -> Option<&'static str> {
    catalog
        .sections
        .iter()
        .find(|section| section.keys.iter().any(|key| key.name() == name))
        .map(|section| section.name)
}

/// The problem of a name at the top, and the section that was probably meant.
pub(crate) fn unknown_at_top(
    catalog: &Catalog,
    key: &Spanned<DeString<'_>>,
    value: &Spanned<DeValue<'_>>,
) -> (Problem, Option<&'static str>) {
    let name: String = key.get_ref().chars().take(60).collect();
    let is_table = match value.get_ref() {
        DeValue::Table(_) => true,
        DeValue::Array(items) => items.iter().any(|item| item.get_ref().is_table()),
        _ => false,
    };
    let tops = catalog
        .sections
        .iter()
        .map(|section| section.name)
        .filter(|name| !name.contains('.'));
    if is_table {
        let problem = Problem::new(
            "section-unknown",
            format!("{} has no section `{name}`", catalog.file),
            Label::new(key.span(), "not known"),
        );
        return match nearest(&name, tops.clone()) {
            Some(near) => (problem.help(format!("did you mean `{near}`?")), Some(near)),
            None => {
                let all = tops.collect::<Vec<_>>().join(", ");
                (problem.help(format!("sections are {all}")), None)
            }
        };
    }
    let problem = Problem::new(
        "key-outside-section",
        format!("the key `{name}` stands outside any section"),
        Label::new(key.span(), "before the first section"),
    );
    let help = match home_of(catalog, &name) {
        Some(home) => format!("it belongs in [{home}]"),
        None => format!(
            "every key belongs in a section such as [{}]",
            catalog.sections.first().map_or("", |section| section.name)
        ),
    };
    (problem.help(help), None)
}

/// The problem of a name in a section, and the key that was probably meant.
pub(crate) fn unknown_key(
    catalog: &Catalog,
    section: &str,
    key: &Spanned<DeString<'_>>,
) -> (Problem, Option<&'static str>) {
    let name: String = key.get_ref().chars().take(60).collect();
    let problem = Problem::new(
        "key-unknown",
        format!("[{section}] has no key `{name}`"),
        Label::new(key.span(), "not known here"),
    );
    let names = catalog
        .section(section)
        .into_iter()
        .flat_map(|section| section.keys)
        .map(Key::name);
    if let Some(near) = nearest(&name, names.clone()) {
        return (problem.help(format!("did you mean `{near}`?")), Some(near));
    }
    let help = match home_of(catalog, &name) {
        Some(home) => format!("it belongs in [{home}]"),
        None => format!("its keys are {}", names.collect::<Vec<_>>().join(", ")),
    };
    (problem.help(help), None)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn regression_words_in_another_order_are_recognised() {
        let keys = [
            "temperature",
            "top-temperature",
            "bottom-temperature",
            "pot-lip",
        ];
        for (typed, meant) in [
            ("temperature-top", Some("top-temperature")),
            ("bottom_temperature", Some("bottom-temperature")),
            ("pot-lib", Some("pot-lip")),
            ("temperatur", Some("temperature")),
            ("voltage", None),
        ] {
            assert_eq!(nearest(typed, keys.into_iter()), meant, "{typed}");
        }
    }
}
