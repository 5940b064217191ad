//! Blocks of crate report as a page draws them.

use halfglass_core::description::{Loop, Paper};
use halfglass_core::design::Sheets;
use halfglass_folder::LoopName;
use halfglass_report::behind::workings_of;
use halfglass_report::block::{Block, Section, WorkingRow};
use halfglass_report::units::DisplayUnits;
use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::frame::{in_address, loop_address};
use crate::workbench::Opened;

/// A block, its figure drawn.
#[derive(Debug)]
pub(crate) struct Drawn {
    pub(crate) block: Block,
    /// SVG of a figure, empty for other blocks.
    pub(crate) svg: String,
}

impl Drawn {
    /// Is it a list of findings.
    pub(crate) const fn is_findings(&self) -> bool {
        matches!(self.block, Block::Findings(_))
    }
}

/// A sheet as a page draws it.
#[derive(Debug)]
pub(crate) struct DrawnSheet {
    pub(crate) blocks: Vec<Drawn>,
    /// All its workings.
    pub(crate) workings: Vec<WorkingRow>,
    /// The loop whose inputs its findings name.
    name: LoopName,
}

impl DrawnSheet {
    /// The blocks of a section.
    pub(crate) fn of(
        section: &Section,
        name: &LoopName,
        (described, sheets): (&Loop, &Sheets),
        units: &DisplayUnits,
    ) -> Self {
        Self {
            blocks: section
                .blocks
                .iter()
                .map(|block| Drawn {
                    svg: match block {
                        Block::Figure(figure) => {
                            halfglass_figure::svg(figure.id, described, sheets, units)
                        }
                        _ => String::new(),
                    },
                    block: block.clone(),
                })
                .collect(),
            workings: workings_of(section.id, sheets),
            name: name.clone(),
        }
    }

    /// The workings behind a value or a table, by their titles.
    pub(crate) fn behind(&self, titles: &[String]) -> Vec<&WorkingRow> {
        let all = self.workings.iter();
        all.filter(|working| titles.contains(&working.title))
            .collect()
    }

    /// Where an input can be changed.
    pub(crate) fn edit_address(&self, input: &str) -> String {
        format!(
            "{}/edit?key={}",
            loop_address(&self.name),
            in_address(input)
        )
    }

    /// An input's path in words: `reference-leg.temperature` is `reference leg, temperature`.
    pub(crate) fn input_words(&self, input: &str) -> String {
        input.replace('.', ", ").replace('-', " ")
    }
}

/// What stands at the head of a printed page.
#[derive(Debug)]
pub(crate) struct Printed {
    pub(crate) tag: String,
    pub(crate) service: String,
    pub(crate) revision: String,
    pub(crate) sha_short: String,
    /// How many values are still marked as invented.
    pub(crate) invented: usize,
    /// When the page was made, by this machine's clock.
    pub(crate) as_of: String,
}

impl Printed {
    pub(crate) fn of(opened: &Opened, described: &Loop) -> Self {
        let identity = &described.identity;
        Self {
            tag: identity.tag.clone(),
            service: identity.service.clone(),
            revision: identity.revision.clone(),
            sha_short: opened.stored.revision.short().to_owned(),
            invented: described.placeholders.len(),
            as_of: Timestamp::now()
                .to_zoned_datetime(TimeZone::system())
                .strftime("%Y-%m-%d %H:%M")
                .to_string(),
        }
    }

    /// That the loop is a draft; empty for one that is none.
    pub(crate) fn draft(&self) -> String {
        match self.invented {
            0 => String::new(),
            1 => "DRAFT: 1 invented value remains".into(),
            count => format!("DRAFT: {count} invented values remain"),
        }
    }
}

/// A sentence whose numbers keep their units beside them when lines break: the space between becomes one that holds. The
/// script does the same with what it writes.
pub(crate) fn unbroken(words: &str) -> String {
    let mut held = String::with_capacity(words.len());
    let mut before = ' ';
    let mut rest = words.chars().peekable();
    while let Some(letter) = rest.next() {
        let is_unit = rest
            .peek()
            .is_some_and(|next| *next == '%' || next.is_ascii_alphabetic());
        if letter == ' ' && before.is_ascii_digit() && is_unit {
            held.push('\u{a0}');
        } else {
            held.push(letter);
        }
        before = letter;
    }
    held
}

/// Paper as a page's style knows it.
pub(crate) const fn paper_word(paper: Paper) -> &'static str {
    match paper {
        Paper::Letter => "letter",
        Paper::A4 => "a4",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn practice_a_number_keeps_its_unit_beside_it() {
        let said = "The panel says 45.8 %, the vessel holds 14.4 in. Line 3 of 12";
        let held = unbroken(said);
        assert_eq!(
            held,
            "The panel says 45.8\u{a0}%, the vessel holds 14.4\u{a0}in. Line 3\u{a0}of 12"
        );
        assert_eq!(held.replace('\u{a0}', " "), said);
    }
}
