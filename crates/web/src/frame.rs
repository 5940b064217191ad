//! What every page has in common: title, the loop it is about, the way around, what the person chose.

use askama::Template;
use axum::body::Bytes;
use axum::http::header::CACHE_CONTROL;
use axum::response::{Html, IntoResponse, Response};
use halfglass_folder::LoopName;

use crate::assets;
use crate::preferences::Preferences;
use crate::refusal::Refusal;

/// What every page has in common.
#[derive(Debug, Clone)]
pub(crate) struct Frame {
    /// Title of the page, without the program's name.
    pub(crate) title: String,
    /// The loop that the page is about.
    pub(crate) name: Option<LoopName>,
    /// Which entry of the loop's way around is this page.
    pub(crate) here: &'static str,
    pub(crate) chosen: Preferences,
    /// Address of this page, to come back to after a choice.
    pub(crate) address: String,
    /// Paper that the page prints on: `letter`, `a4`, or `file` where no loop is there to say.
    pub(crate) paper: &'static str,
}

/// One entry of the way around a loop.
#[derive(Debug, Clone)]
pub(crate) struct Way {
    pub(crate) id: &'static str,
    pub(crate) words: &'static str,
    pub(crate) address: String,
}

/// Entries of the way around a loop that belong together.
#[derive(Debug, Clone)]
pub(crate) struct Group {
    /// What they are about; empty for the pages of the loop itself.
    pub(crate) words: &'static str,
    pub(crate) ways: Vec<Way>,
}

/// Sheets in the order of the work, with their words in the way around.
pub(crate) const SHEETS: [(&str, &str); 15] = [
    ("survey", "Survey"),
    ("range", "Range"),
    ("error-map", "Error map"),
    ("glass", "Glass"),
    ("level-map", "Level map"),
    ("uncertainty", "Uncertainty"),
    ("feedwater", "Feedwater valve"),
    ("wiring", "Wiring"),
    ("settings", "Settings"),
    ("tuning", "Tuning"),
    ("signal-loss", "Loss of signal"),
    ("purchase", "To buy"),
    ("findings", "Findings"),
    ("assumptions", "Assumptions"),
    ("workings", "Workings"),
];

/// What the sheets are about, and how many of [`SHEETS`] each of these takes.
const GROUPS: [(&str, usize); 5] = [
    ("Measure", 6),
    ("Water", 1),
    ("Wires", 1),
    ("Control", 3),
    ("Papers", 4),
];

impl Frame {
    /// A page of the folder.
    pub(crate) fn new(title: impl Into<String>, chosen: Preferences, address: &str) -> Self {
        Self {
            title: title.into(),
            name: None,
            here: "",
            paper: chosen.paper_word(),
            chosen,
            address: address.to_owned(),
        }
    }

    /// A page of one loop; `here` is one of the ids of [`Frame::ways`] or of [`SHEETS`].
    pub(crate) fn of_loop(
        name: &LoopName,
        title: impl Into<String>,
        here: &'static str,
        chosen: Preferences,
    ) -> Self {
        let mut frame = Self {
            title: title.into(),
            name: Some(name.clone()),
            here,
            paper: chosen.paper_word(),
            chosen,
            address: String::new(),
        };
        frame.address = frame
            .ways()
            .into_iter()
            .chain(frame.sheets())
            .find(|way| way.id == here)
            .map_or_else(|| loop_address(name), |way| way.address);
        frame
    }

    /// The pages of a loop, but for its sheets.
    pub(crate) fn ways(&self) -> Vec<Way> {
        let Some(name) = &self.name else {
            return Vec::new();
        };
        let base = loop_address(name);
        [
            ("elevation", "Elevation", ""),
            ("motion", "In motion", "/motion"),
            ("test", "Test on the plant", "/test"),
            ("edit", "Edit", "/edit"),
            ("text", "File text", "/text"),
            ("versions", "Versions", "/versions"),
            ("print", "Pack and card", "/print"),
        ]
        .map(|(id, words, tail)| Way {
            id,
            words,
            address: format!("{base}{tail}"),
        })
        .into()
    }

    /// The sheets of a loop.
    pub(crate) fn sheets(&self) -> Vec<Way> {
        let Some(name) = &self.name else {
            return Vec::new();
        };
        let base = loop_address(name);
        SHEETS
            .map(|(id, words)| Way {
                id,
                words,
                address: format!("{base}/sheets/{id}"),
            })
            .into()
    }

    /// Pages and sheets, grouped in the order of the work.
    pub(crate) fn groups(&self) -> Vec<Group> {
        let mut groups = vec![Group {
            words: "",
            ways: self.ways(),
        }];
        let mut sheets = self.sheets().into_iter();
        groups.extend(GROUPS.map(|(words, count)| Group {
            words,
            ways: sheets.by_ref().take(count).collect(),
        }));
        groups
    }

    /// What this page is called in the way around; empty for one that is not in it.
    pub(crate) fn here_words(&self) -> &'static str {
        let mut ways = self.ways().into_iter().chain(self.sheets());
        ways.find(|way| way.id == self.here)
            .map_or("", |way| way.words)
    }

    /// Address of the loop's first page; of the folder where there is no loop.
    pub(crate) fn loop_address(&self) -> String {
        self.name.as_ref().map_or_else(|| "/".into(), loop_address)
    }

    /// Address of an asset, with its hash so that a browser may keep it.
    pub(crate) fn asset(&self, name: &str) -> String {
        assets::address(name)
    }
}

/// Address of a loop's first page.
pub(crate) fn loop_address(name: &LoopName) -> String {
    format!("/loops/{}", in_address(name.as_str()))
}

/// A text as one segment of an address or one value of a query.
pub(crate) fn in_address(text: &str) -> String {
    let mut address = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_' | b'.' | b'~') {
            address.push(char::from(byte));
        } else {
            address.push_str(&format!("%{byte:02X}"));
        }
    }
    address
}

/// A page as the answer to a request. What is on it may change with any edit: no copy is kept by browsers.
pub(crate) fn page(template: &impl Template) -> Result<Response, Refusal> {
    Ok(answer(drawn(template)?))
}

/// A page's text.
pub(crate) fn drawn(template: &impl Template) -> Result<Bytes, Refusal> {
    match template.render() {
        Ok(html) => Ok(html.into()),
        Err(_) => Err(Refusal::defect("a page could not be drawn")),
    }
}

/// A page's text as the answer to a request.
pub(crate) fn answer(html: Bytes) -> Response {
    ([(CACHE_CONTROL, "no-store")], Html(html)).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn property_every_sheet_of_the_report_is_on_the_way_around() {
        let mut known: Vec<&str> = SHEETS.iter().map(|(id, _)| *id).collect();
        let mut ids = halfglass_report::sections::IDS.to_vec();
        known.sort_unstable();
        ids.sort_unstable();
        assert_eq!(known, ids);
        let grouped: usize = GROUPS.iter().map(|(_, count)| count).sum();
        assert_eq!(grouped, SHEETS.len());
    }
}
