//! What a form shows of a part: sections, blocks, fields, each with what is wrong there.

use halfglass_loopfile::edit::{Block, Standing, Values};
use halfglass_loopfile::keys::{Kind, Need, Section, section as section_of};

use super::parts::Part;
use crate::pages::draft::{Judged, Noticed, Told, Unmade};

/// One key.
#[derive(Debug)]
pub(crate) struct Field {
    pub(crate) path: String,
    /// First words of what the key means.
    pub(crate) label: String,
    /// The rest of it, and an example in the file's units.
    pub(crate) hint: String,
    /// Whether it is needed, in words.
    pub(crate) need: String,
    pub(crate) text: String,
    /// Words to choose from; empty for what is typed.
    pub(crate) choices: Vec<Choice>,
    /// Typed in several lines.
    pub(crate) is_lines: bool,
    pub(crate) is_invented: bool,
    pub(crate) remark: String,
    pub(crate) problems: Vec<Told>,
    pub(crate) findings: Vec<Noticed>,
    /// What was typed and could not be put in.
    pub(crate) unmade: Vec<Unmade>,
}

impl Field {
    /// Something is wrong with it.
    pub(crate) fn is_wrong(&self) -> bool {
        !self.problems.is_empty() || !self.unmade.is_empty()
    }
}

/// A word of a field.
#[derive(Debug)]
pub(crate) struct Choice {
    pub(crate) value: String,
    pub(crate) words: String,
    pub(crate) is_chosen: bool,
}

/// A block with its fields.
#[derive(Debug)]
pub(crate) struct Fields {
    pub(crate) path: String,
    /// `Duty 2`; empty for a section that is there once.
    pub(crate) heading: String,
    /// Value of the button that takes it away; empty where it must stay.
    pub(crate) remove: String,
    pub(crate) shown: Vec<Field>,
    /// What may be said and is not.
    pub(crate) more: Vec<Field>,
    /// Problems of the block that are no key's.
    pub(crate) problems: Vec<Told>,
}

/// A section with its blocks.
#[derive(Debug)]
pub(crate) struct SectionFields {
    pub(crate) name: &'static str,
    pub(crate) heading: String,
    pub(crate) doc: &'static str,
    /// Value and words of the button that adds a block; empty where there is none to add.
    pub(crate) add: (String, String),
    pub(crate) blocks: Vec<Fields>,
    /// Problems of a section that is not there.
    pub(crate) problems: Vec<Told>,
    /// Findings that name no key of it, or one of its repeated keys.
    pub(crate) findings: Vec<Noticed>,
}

/// The sections of a part.
pub(crate) fn sections(
    part: &Part,
    values: &Values,
    judged: &Judged,
    unmade: &[Unmade],
) -> Vec<SectionFields> {
    let is_us = values
        .get("loop.units")
        .is_some_and(|units| units.text.as_deref() == Some("us"));
    let context = Context {
        judged,
        unmade,
        is_us,
    };
    part.sections
        .iter()
        .filter_map(|name| section_of(name))
        .map(|section| context.section(section, values))
        .collect()
}

struct Context<'a> {
    judged: &'a Judged,
    unmade: &'a [Unmade],
    is_us: bool,
}

impl Context<'_> {
    fn section(&self, section: &'static Section, values: &Values) -> SectionFields {
        let blocks: Vec<_> = values.of_section(section.name).collect();
        let add = if section.repeated || blocks.is_empty() {
            let more = if blocks.is_empty() {
                "Add"
            } else {
                "Add one more"
            };
            (
                format!("add:{}", section.name),
                format!("{more}: {}", words(section)),
            )
        } else {
            (String::new(), String::new())
        };
        let must_stay = section.required && blocks.len() == 1;
        let is_loose = |noticed: &&Noticed| {
            let at_field = !section.repeated
                && section.keys.iter().any(|key| key.path == noticed.path)
                && !blocks.is_empty();
            let is_own = noticed.path == section.name
                || section.keys.iter().any(|key| key.path == noticed.path);
            is_own && !at_field
        };
        SectionFields {
            name: section.name,
            heading: capital(&words(section)),
            doc: section.doc,
            add,
            findings: self
                .judged
                .findings
                .iter()
                .filter(is_loose)
                .cloned()
                .collect(),
            problems: if blocks.is_empty() {
                self.of_block(section.name)
            } else {
                Vec::new()
            },
            blocks: blocks
                .into_iter()
                .map(|block| self.block(block, must_stay))
                .collect(),
        }
    }

    fn block(&self, block: &Block, must_stay: bool) -> Fields {
        let (shown, more) = block
            .keys
            .iter()
            .map(|standing| (standing, self.field(block.section, standing)))
            .partition::<Vec<_>, _>(|(standing, field)| {
                standing.text.is_some() || standing.key.need == Need::Required || field.is_wrong()
            });
        let fields =
            |fields: Vec<(&Standing, Field)>| fields.into_iter().map(|(_, field)| field).collect();
        Fields {
            path: block.path.clone(),
            heading: if block.section.repeated {
                format!("{} {}", capital(&words(block.section)), block.number)
            } else {
                String::new()
            },
            remove: if must_stay {
                String::new()
            } else {
                format!("remove:{}:{}", block.section.name, block.number)
            },
            shown: fields(shown),
            more: fields(more),
            problems: self.of_block(&block.path),
        }
    }

    /// Problems of a block that are no key's.
    fn of_block(&self, path: &str) -> Vec<Told> {
        let problems = self.judged.problems.iter();
        problems
            .filter(|told| told.path.is_empty() && told.block == path)
            .cloned()
            .collect()
    }

    fn field(&self, section: &Section, standing: &Standing) -> Field {
        let key = standing.key;
        let text = standing.text.clone().unwrap_or_default();
        let name = capital(&key.name().replace('-', " "));
        let (label, rest) = match (key.kind, key.doc.split_once("; ")) {
            // Where the words themselves are explained, the key's name is the label.
            (Kind::Word(words), _) if words.iter().any(|word| key.doc.starts_with(word)) => {
                (name.as_str(), key.doc)
            }
            (_, Some((label, rest))) => (label, rest),
            (_, None) => (key.doc, ""),
        };
        let example = if self.is_us { key.us } else { key.si };
        let example = match key.kind {
            Kind::Word(_) | Kind::Bool => String::new(),
            Kind::Texts => format!("One a line, for instance {example}."),
            Kind::TextPair | Kind::Quantities(..) => {
                format!("One a line, for instance {example} on lines of their own.")
            }
            _ => format!("For instance {example}."),
        };
        let rest = if rest.is_empty() {
            String::new()
        } else {
            format!(
                "{}. ",
                if rest == key.doc {
                    rest.to_owned()
                } else {
                    capital(rest)
                }
            )
        };
        let need = need(key.need);
        let concerns =
            |told: &&Told| told.path == standing.path || told.also.contains(&standing.path);
        Field {
            label: label.to_owned(),
            hint: format!("{rest}{example}"),
            choices: match key.kind {
                Kind::Word(words) => choices(words, &text, &need),
                Kind::Bool => choices(&["true", "false"], &text, &need),
                _ => Vec::new(),
            },
            need,
            is_lines: matches!(
                key.kind,
                Kind::Texts | Kind::TextPair | Kind::Quantities(..)
            ) || text.contains('\n'),
            text,
            is_invented: standing.is_invented,
            remark: standing.remark.clone().unwrap_or_default(),
            problems: self
                .judged
                .problems
                .iter()
                .filter(concerns)
                .cloned()
                .collect(),
            findings: if section.repeated {
                Vec::new()
            } else {
                let findings = self.judged.findings.iter();
                findings
                    .filter(|noticed| noticed.path == key.path)
                    .cloned()
                    .collect()
            },
            unmade: self
                .unmade
                .iter()
                .filter(|unmade| unmade.path == standing.path)
                .cloned()
                .collect(),
            path: standing.path.clone(),
        }
    }
}

fn need(need: Need) -> String {
    match need {
        Need::Required => "needed".to_owned(),
        Need::When(condition) => format!("needed when {condition}"),
        Need::Default(default) => format!("without it: {default}"),
        Need::Optional => "may be left out".to_owned(),
    }
}

/// The words of a key, nothing, and what stands there although it is none of them.
fn choices(words: &[&str], text: &str, need: &str) -> Vec<Choice> {
    let choice = |value: &str, words: String| Choice {
        value: value.to_owned(),
        words,
        is_chosen: value == text,
    };
    let nothing = choice("", format!("not said ({need})"));
    let odd = (!text.is_empty() && !words.contains(&text))
        .then(|| choice(text, format!("{text} (none of its words)")));
    let known = words.iter().map(|word| choice(word, (*word).to_owned()));
    [nothing].into_iter().chain(odd).chain(known).collect()
}

/// A section's name in words.
fn words(section: &Section) -> String {
    section.name.replace(['.', '-'], " ")
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
