//! The pack: loop and sheets in, PDF out. The same input gives the same bytes.

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::measurement::MeasurementError;
use halfglass_core::water::WaterError;
use halfglass_report::block::{Block, FigureId, Section};
use halfglass_report::units::DisplayUnits;
use typst::diag::{SourceDiagnostic, Warned};
use typst::foundations::Smart;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

use crate::limits::Limits;
use crate::world::PackWorld;
use crate::{cover, encode, parts};

/// What a pack is made from.
#[derive(Debug, Clone, Copy)]
pub struct PackInput<'a> {
    /// The loop as described.
    pub the_loop: &'a Loop,
    /// Its sheets.
    pub sheets: &'a Sheets,
    /// Units of print.
    pub units: &'a DisplayUnits,
    /// Name of the loop file, without folders.
    pub file_name: &'a str,
    /// SHA-256 of the loop file, 64 lower-case hexadecimal digits.
    pub sha256: &'a str,
}

/// Why no pack could be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PackError {
    /// The hash is not 64 hexadecimal digits.
    #[error("the loop file's hash has {0} characters that count, 64 hexadecimal digits are needed")]
    Hash(usize),
    /// An acceptance limit could not be computed.
    #[error("acceptance limit of the hot comparison")]
    Limit(#[source] WaterError),
    /// What the legs of the cold vessel do over the ambient band could not be computed.
    #[error("acceptance limit of the cold comparison")]
    ColdLegs(#[source] MeasurementError),
    /// The typesetter refused the templates or their data: a defect of this program.
    #[error("typesetting failed: {0}")]
    Typeset(String),
    /// The PDF could not be written, for instance for a character that the fonts do not have.
    #[error("writing the PDF failed: {0}")]
    Write(String),
    /// The typesetter finished with warnings: a defect of this program, since a pack must not be printed with doubts.
    #[error("typesetting left warnings: {0}")]
    Warnings(String),
}

/// The pack as a PDF file.
///
/// # Errors
/// [`PackError`]; text with characters that Source Sans 3 lacks (Latin, Greek and Cyrillic are there) gives [`PackError::Write`].
pub fn pdf(input: &PackInput<'_>) -> Result<Vec<u8>, PackError> {
    let sections = halfglass_report::sections::sections(input.the_loop, input.sheets, input.units);
    let limits = Limits::of(input.the_loop, input.sheets, input.units)?;
    let parts = parts::in_order(input, &sections, &limits);
    typeset(input, &parts, figures(input, &sections))
}

/// Figures that the sections refer to.
fn figures(input: &PackInput<'_>, sections: &[Section]) -> Vec<(FigureId, String)> {
    let mut ids: Vec<FigureId> = Vec::new();
    for block in sections.iter().flat_map(|section| &section.blocks) {
        if let Block::Figure(figure) = block
            && !ids.contains(&figure.id)
        {
            ids.push(figure.id);
        }
    }
    ids.into_iter()
        .map(|id| {
            (
                id,
                halfglass_figure::svg(id, input.the_loop, input.sheets, input.units),
            )
        })
        .collect()
}

/// Typesets parts and writes the PDF.
pub(crate) fn typeset(
    input: &PackInput<'_>,
    parts: &[crate::part::Part],
    figures: Vec<(FigureId, String)>,
) -> Result<Vec<u8>, PackError> {
    let digits = input.sha256.bytes().filter(u8::is_ascii_hexdigit).count();
    if digits != 64 || input.sha256.len() != 64 {
        return Err(PackError::Hash(digits));
    }
    let mut data = cover::document(input);
    data["parts"] = encode::parts(parts);
    let mut files = vec![("/pack.json".to_owned(), data.to_string().into_bytes())];
    files.extend(
        figures
            .into_iter()
            .map(|(id, svg)| (encode::figure_path(id), svg.into_bytes())),
    );
    let world = PackWorld::new(files).map_err(|error| PackError::Typeset(format!("{error:?}")))?;

    let Warned { output, warnings } = typst::compile::<PagedDocument>(&world);
    let document = output.map_err(|errors| PackError::Typeset(said(&errors)))?;
    if !warnings.is_empty() {
        return Err(PackError::Warnings(said(&warnings)));
    }
    // PDF/UA-1 makes the writer refuse what a reader could not read: missing glyphs, figures without words, no title.
    let standards = PdfStandards::new(&[PdfStandard::Ua_1])
        .map_err(|error| PackError::Write(error.message().to_string()))?;
    let options = PdfOptions {
        ident: Smart::Custom(format!("halfglass-pack {}", input.sha256)),
        creator: Smart::Custom(Some(
            concat!("halfglass ", env!("CARGO_PKG_VERSION")).to_owned(),
        )),
        timestamp: None,
        page_ranges: None,
        standards,
        tagged: true,
        pretty: false,
    };
    typst_pdf::pdf(&document, &options).map_err(|errors| PackError::Write(said(&errors)))
}

/// All messages in one line.
fn said(diagnostics: &[SourceDiagnostic]) -> String {
    diagnostics
        .iter()
        .map(|diagnostic| {
            let hints: String = diagnostic
                .hints
                .iter()
                .map(|hint| format!(" ({})", hint.v))
                .collect();
            format!("{}{hints}", diagnostic.message)
        })
        .collect::<Vec<_>>()
        .join("; ")
}
