//! A new loop, guided: the kind of vessel, then the questions of a survey beside a drawing that follows the answers.
//!
//! What is not answered stands in the file as an invented example, marked so: the loop is a draft until the last is
//! replaced.

use std::sync::Arc;

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use halfglass_core::description::{UnitSystem, VesselKind};
use halfglass_folder::{Folder, FolderError, LoopName};
use halfglass_loopfile::new::{
    Answers, Question, commented_file, contradictions, questions, understood,
};

use super::new_drawing::drawing;
use super::typed::Typed;
use crate::frame::{Frame, loop_address, page};
use crate::preferences::Preferences;
use crate::refusal::Refusal;
use crate::workbench::{Workbench, run_aside};

/// Kinds of vessel with their words in an address, and what each is for.
const KINDS: [(&str, VesselKind, &str); 4] = [
    (
        "shell-boiler",
        VesselKind::ShellBoiler,
        "Fire-tube boiler: heated tubes under the water, a condensate pot and a wet leg as a rule.",
    ),
    (
        "drum-boiler",
        VesselKind::DrumBoiler,
        "Steam drum of a water-tube boiler.",
    ),
    (
        "deaerator",
        VesselKind::Deaerator,
        "Deaerator storage: water at saturation, steam over it.",
    ),
    (
        "vented-tank",
        VesselKind::VentedTank,
        "Feed or condensate tank, open to the air.",
    ),
];

struct KindRow {
    address: String,
    words: &'static str,
    about: &'static str,
}

#[derive(Template)]
#[template(path = "new.html")]
struct NewPage {
    frame: Frame,
    kinds: Vec<KindRow>,
}

/// `GET /new`: which kind of vessel.
pub(crate) async fn kinds(chosen: Preferences) -> Result<Response, Refusal> {
    page(&NewPage {
        frame: Frame::new("A new loop", chosen, "/new"),
        kinds: KINDS
            .map(|(word, kind, about)| KindRow {
                address: format!("/new/{word}"),
                words: halfglass_report::vessel_kind(kind),
                about,
            })
            .into(),
    })
}

/// A question as the page asks it.
struct Asked {
    question: Question,
    /// Heading over it, where a group of questions begins.
    group: &'static str,
    typed: String,
    /// How the answer was understood, where it was.
    meant: String,
    /// What is wrong with it, alone or beside others.
    problems: Vec<String>,
}

/// Questions are asked under these, by the first word of their path.
const GROUPS: [(&str, &str); 10] = [
    ("loop", "The loop"),
    ("vessel", "The vessel"),
    ("elevations", "Taps and heated surface"),
    ("reference-leg", "Reference leg"),
    ("glass", "Gauge glass"),
    ("cell", "Level cell"),
    ("pressures", "Pressures"),
    ("duty", "Duty and feedwater"),
    ("controller", "Controller"),
    ("limits", "Set point, alarms and trips"),
];

fn group_of(path: &str) -> Option<&'static str> {
    let section = path.split('.').next()?;
    let (_, words) = GROUPS.iter().find(|(known, _)| *known == section)?;
    Some(words)
}

#[derive(Template)]
#[template(path = "new_survey.html")]
struct SurveyPage {
    frame: Frame,
    kind: &'static str,
    words: &'static str,
    units: &'static str,
    name: String,
    /// What is in the way of the name.
    of_name: Option<Refusal>,
    asked: Vec<Asked>,
    /// Nothing was written though that was asked for.
    is_refused: bool,
    drawing: String,
}

impl SurveyPage {
    /// Does the page hold anything that was typed.
    fn is_typed(&self) -> bool {
        !self.name.is_empty() || self.asked.iter().any(|asked| !asked.typed.is_empty())
    }

    /// Places in the list of questions, each with what is wrong there.
    fn wrong(&self) -> Vec<(usize, &Asked)> {
        let numbered = self.asked.iter().enumerate();
        numbered
            .filter(|(_, asked)| !asked.problems.is_empty())
            .map(|(at, asked)| (at + 1, asked))
            .collect()
    }
}

#[derive(Debug, Default, serde::Deserialize)]
pub(crate) struct Units {
    #[serde(default)]
    units: String,
}

fn kind_of(word: &str) -> Result<(&'static str, VesselKind), Refusal> {
    KINDS
        .into_iter()
        .find(|(known, ..)| *known == word)
        .map(|(word, kind, _)| (word, kind))
        .ok_or_else(|| Refusal::not_found("there is no such kind of vessel"))
}

/// `GET /new/{kind}`: the questions.
pub(crate) async fn survey(
    Path(kind): Path<String>,
    Query(asked): Query<Units>,
    chosen: Preferences,
) -> Result<Response, Refusal> {
    let (word, kind) = kind_of(&kind)?;
    let units = match asked.units.as_str() {
        "us" => UnitSystem::Us,
        "si" => UnitSystem::Si,
        _ => chosen.units.unwrap_or(UnitSystem::Si),
    };
    run_aside(move || {
        let surveyed = Surveyed::of(kind, units, &Typed::default());
        page(&surveyed.page(word, (kind, units), String::new(), None, chosen))
    })
    .await
}

/// Answers as typed, each with its problems.
struct Surveyed {
    answers: Answers,
    asked: Vec<Asked>,
}

impl Surveyed {
    fn of(kind: VesselKind, units: UnitSystem, typed: &Typed) -> Self {
        let mut answers = Answers::new(kind, units);
        let mut last = None;
        let mut asked: Vec<Asked> = questions(kind, units)
            .into_iter()
            .map(|question| {
                let said = typed.get(question.path).trim().to_owned();
                let mut problems = Vec::new();
                if !said.is_empty() {
                    let answer = question.answer(&said).to_owned();
                    if let Err(error) = answers.set(question.path, &answer) {
                        problems.push(error.to_string());
                    }
                }
                let group = group_of(question.path).filter(|words| last != Some(*words));
                last = group.or(last);
                Asked {
                    meant: understood(&answers, question.path).unwrap_or_default(),
                    question,
                    group: group.unwrap_or_default(),
                    typed: said,
                    problems,
                }
            })
            .collect();
        for found in contradictions(&answers) {
            let help = found
                .help
                .map_or_else(String::new, |help| format!("; {help}"));
            let said = format!("{}{help}", found.message);
            for asked in &mut asked {
                if found.paths.iter().any(|path| path == asked.question.path) {
                    asked.problems.push(said.clone());
                }
            }
        }
        Self { answers, asked }
    }

    fn is_sound(&self) -> bool {
        self.asked.iter().all(|asked| asked.problems.is_empty())
            && contradictions(&self.answers).is_empty()
    }

    fn drawing(&self) -> String {
        let questions: Vec<&Question> = self.asked.iter().map(|asked| &asked.question).collect();
        drawing(&self.answers, &questions)
    }

    fn page(
        self,
        word: &'static str,
        (kind, units): (VesselKind, UnitSystem),
        name: String,
        of_name: Option<Refusal>,
        chosen: Preferences,
    ) -> SurveyPage {
        let drawing = self.drawing();
        SurveyPage {
            frame: Frame::new(
                format!("A new loop: {}", halfglass_report::vessel_kind(kind)),
                chosen,
                &format!("/new/{word}"),
            ),
            kind: word,
            words: halfglass_report::vessel_kind(kind),
            units: match units {
                UnitSystem::Us => "us",
                UnitSystem::Si => "si",
            },
            name,
            of_name,
            asked: self.asked,
            is_refused: false,
            drawing,
        }
    }

    /// What the page's script shows: the drawing, what is in the way of the name, and at each answer what was understood
    /// or is wrong.
    fn into_json(self, of_name: Option<Refusal>) -> Response {
        let drawing = self.drawing();
        let asked = self.asked.into_iter().map(|asked| {
            serde_json::json!({
                "path": asked.question.path,
                "meant": asked.meant,
                "problems": asked.problems,
            })
        });
        let asked: Vec<serde_json::Value> = asked.collect();
        let of_name = of_name.map(|refusal| format!("{}. {}", refusal.what, refusal.remedy));
        axum::Json(serde_json::json!({ "drawing": drawing, "name": of_name, "asked": asked }))
            .into_response()
    }
}

/// `POST /new/{kind}`: draws the answers so far, or writes the file.
pub(crate) async fn answer(
    State(bench): State<Arc<Workbench>>,
    Path(kind): Path<String>,
    chosen: Preferences,
    typed: Typed,
) -> Result<Response, Refusal> {
    let (word, kind) = kind_of(&kind)?;
    let units = if typed.get("units") == "us" {
        UnitSystem::Us
    } else {
        UnitSystem::Si
    };
    run_aside(move || {
        let surveyed = Surveyed::of(kind, units, &typed);
        let is_written = typed.get("act") == "write" && !typed.wants_json;
        let name = typed.get("name").trim();
        // No name yet is nothing to tell of before the file is to be written.
        let mut of_name = if name.is_empty() && !is_written {
            None
        } else {
            in_the_way(&bench.folder, name)?
        };
        if typed.wants_json {
            return Ok(surveyed.into_json(of_name));
        }
        if is_written && of_name.is_none() && surveyed.is_sound() {
            let name = LoopName::typed(name)?;
            let text = commented_file(&surveyed.answers);
            match bench.folder.create(&name, text.as_bytes()) {
                Ok(_) => return Ok(Redirect::to(&loop_address(&name)).into_response()),
                Err(error) => of_name = Some(error.into()),
            }
        }
        let name = typed.get("name").to_owned();
        let mut shown = surveyed.page(word, (kind, units), name, of_name, chosen);
        shown.is_refused = is_written;
        let mut response = page(&shown)?;
        if is_written {
            *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
        }
        Ok(response)
    })
    .await
}

/// What is in the way of a name for a new file: that it is none, or that another file has it.
fn in_the_way(folder: &Folder, name: &str) -> Result<Option<Refusal>, Refusal> {
    let name = match LoopName::typed(name) {
        Ok(name) => name,
        Err(error) => return Ok(Some(error.into())),
    };
    let listing = folder.list()?;
    let taken = listing
        .loops
        .into_iter()
        .find(|listed| listed.name.is_same_but_for_case(&name));
    Ok(taken.map(|listed| FolderError::Taken(listed.name.to_string()).into()))
}

#[cfg(test)]
#[path = "new_tests.rs"]
mod tests;
