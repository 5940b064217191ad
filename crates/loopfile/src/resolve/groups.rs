//! Sections that stand in a file together or not at all.

use crate::keys::{self, Group, Need};
use crate::problem::{Label, Problem};
use crate::survey::Survey;

/// True when any section of the group is there; those that are then missing are reported.
pub(super) fn stands(survey: &mut Survey<'_>, group: &Group) -> bool {
    let mut present = group
        .together
        .iter()
        .chain(group.beside)
        .filter(|name| survey.entries.count(name) > 0);
    let Some(first) = present.next() else {
        return false;
    };
    let span = match keys::section(first) {
        Some(section) if section.repeated => survey.entries.section_span(&format!("{first}[0]")),
        _ => survey.entries.section_span(first),
    };
    let missing: Vec<_> = group
        .together
        .iter()
        .filter(|name| survey.entries.count(name) == 0)
        // What belongs to a missing section is missed with it.
        .filter(|name| {
            name.rsplit_once('.')
                .is_none_or(|(parent, _)| survey.entries.count(parent) > 0)
        })
        .filter_map(|name| keys::section(name))
        .collect();
    for section in missing {
        let header = if section.repeated {
            format!("[[{}]]", section.name)
        } else {
            format!("[{}]", section.name)
        };
        let needed: Vec<_> = section
            .keys
            .iter()
            .filter(|key| key.need == Need::Required)
            .map(keys::Key::name)
            .collect();
        survey.problems.push(
            Problem::new(
                "section-missing",
                format!("the section {header} is missing: it belongs to [{first}]"),
                Label::new(span.clone(), format!("says nothing without {header}")),
            )
            .help(format!(
                "add {header} with {}, or leave out {} as well",
                needed.join(", "),
                group.together.join(", ")
            )),
        );
    }
    true
}
