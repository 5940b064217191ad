//! The record of the test on the plant that the loop file holds: what it measured, beside what the survey alone computes.

use halfglass_core::tuning::measured::MeasuredUse;
use halfglass_report::block::Block;
use halfglass_report::sections::measured_rows;

use crate::pack::PackInput;
use crate::part::{PackBlock, Part, Record};

/// Its part of the pack; `None` where the loop file holds no test.
pub(crate) fn part(input: &PackInput<'_>) -> Option<Part> {
    let used = input.sheets.tuning.measured.as_ref()?;
    Some(Part::flow(
        "Test on the plant",
        vec![
            PackBlock::Report(Block::Paragraph(
                "The loop file holds this test: the settings of this pack follow from it, no longer from the survey alone. How they behave stays a \
                 FORECAST. The level of the test is the INDICATED one: it holds for the range that the panel had."
                    .into(),
            )),
            PackBlock::Report(Block::Values(measured_rows(used))),
            kept_with_it(used),
        ],
    ))
}

/// Lines to fill in: a number without its record proves nothing later.
fn kept_with_it(used: &MeasuredUse) -> PackBlock {
    PackBlock::Record(Record {
        caption: format!("The test of {}, by whom and how", used.process.date),
        columns: vec!["".into()],
        blanks: vec!["written down".into()],
        rows: [
            "Trend or readings kept where",
            "Range that the panel had",
            "Load held by, at",
            "At the controller; at the level",
            "Judged by, date, signature",
        ]
        .map(|row| vec![row.to_owned()])
        .into(),
        note: "After the cell is ranged anew the test holds no more: test again, or take the section out of the loop file.".into(),
    })
}

#[cfg(test)]
mod tests {
    use halfglass_core::design::design;
    use halfglass_report::units::DisplayUnits;

    use super::*;

    fn part_of(test: &str) -> Option<Part> {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("../../examples/laundry-shell-boiler.toml");
        let text = std::fs::read_to_string(path).unwrap() + test;
        let described = halfglass_loopfile::read(text.as_bytes()).unwrap();
        let sheets = design(&described).unwrap();
        let input = PackInput {
            the_loop: &described,
            sheets: &sheets,
            units: &DisplayUnits::of(&described),
            file_name: "example.toml",
            sha256: "",
        };
        part(&input)
    }

    #[test]
    fn property_a_test_in_the_loop_file_has_its_record() {
        assert_eq!(part_of(""), None);
        let test = "\n[measured]\ntest = \"relay\"\ndate = \"2026-11-27\"\nduty = \"normal\"\nspan-time = \"1000 s\"\ndead-time = \"35 s\"\n";
        let words = format!("{:?}", part_of(test).unwrap());
        for word in [
            "2026-11-27",
            "relay",
            "normal",
            "16.7 min",
            "35.0 s",
            "INDICATED",
        ] {
            assert!(words.contains(word), "{word}: {words}");
        }
    }
}
