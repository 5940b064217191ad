//! Packs of the example loops, read back as a reader would: pages, foot of every page, bookmarks, metadata.

#![allow(
    clippy::unwrap_used,
    reason = "a test stops at the first thing that is not as it must be"
)]

use std::path::Path;
use std::sync::{Mutex, MutexGuard, OnceLock};

use halfglass_core::description::{Loop, Paper};
use halfglass_core::design::design;
use halfglass_pack::{PackError, PackInput, pdf};
use halfglass_report::units::DisplayUnits;
use lopdf::content::Content;
use lopdf::{Document, Object, ObjectId};

const HASH: &str = "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef";

const EXAMPLES: [&str; 5] = [
    "brewery-feed-tank",
    "district-deaerator",
    "inherited-cold-range",
    "laundry-shell-boiler",
    "paper-mill-drum-boiler",
];

fn example(name: &str) -> Loop {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../examples/{name}.toml"));
    halfglass_loopfile::read(&std::fs::read(path).unwrap()).unwrap()
}

/// One pack at a time: a typesetter in every test thread would want too much memory.
fn alone() -> MutexGuard<'static, ()> {
    static ONE: Mutex<()> = Mutex::new(());
    ONE.lock()
        .unwrap_or_else(std::sync::PoisonError::into_inner)
}

fn pack_of(described: &Loop, sha256: &str) -> Result<Vec<u8>, PackError> {
    let _alone = alone();
    let sheets = design(described).unwrap();
    let units = DisplayUnits::of(described);
    pdf(&PackInput {
        the_loop: described,
        sheets: &sheets,
        units: &units,
        file_name: "example.toml",
        sha256,
    })
}

/// The packs of the examples, made once for all tests that read them.
fn example_packs() -> &'static [(&'static str, Vec<u8>)] {
    static PACKS: OnceLock<Vec<(&str, Vec<u8>)>> = OnceLock::new();
    PACKS.get_or_init(|| {
        EXAMPLES
            .into_iter()
            .map(|name| (name, pack_of(&example(name), HASH).unwrap()))
            .collect()
    })
}

/// A transformation of the page, as PDF writes it.
type Matrix = [f32; 6];

/// `inner`, then `outer`. Source: ISO 32000-1, 8.3.4.
fn then(inner: Matrix, outer: Matrix) -> Matrix {
    let ([a, b, c, d, e, f], [p, q, r, s, t, u]) = (inner, outer);
    [
        a * p + b * r,
        a * q + b * s,
        c * p + d * r,
        c * q + d * s,
        e * p + f * r + t,
        e * q + f * s + u,
    ]
}

/// Share of the room between header and footer down to the lowest letter, path or figure of the page.
fn used_share(document: &Document, page: ObjectId) -> f32 {
    const POINTS_PER_MM: f32 = 72.0 / 25.4;
    let media_box = document.get_dictionary(page).unwrap();
    let media_box = media_box.get(b"MediaBox").unwrap().as_array().unwrap();
    let (top, bottom) = (
        media_box[3].as_float().unwrap() - 25.0 * POINTS_PER_MM,
        21.0 * POINTS_PER_MM,
    );
    let content = Content::decode(&document.get_page_content(page)).unwrap();
    let one = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let (mut at, mut text, mut saved, mut lowest) = (one, one, Vec::new(), top);
    let mut seen = |(x, y): (f32, f32), matrix: Matrix| {
        let height = matrix[1] * x + matrix[3] * y + matrix[5];
        if height > bottom && height < lowest {
            lowest = height;
        }
    };
    for operation in &content.operations {
        let numbers: Vec<f32> = operation
            .operands
            .iter()
            .filter_map(|operand| operand.as_float().ok())
            .collect();
        match (operation.operator.as_str(), numbers.as_slice()) {
            ("q", _) => saved.push(at),
            ("Q", _) => at = saved.pop().unwrap(),
            ("cm", &[a, b, c, d, e, f]) => at = then([a, b, c, d, e, f], at),
            ("BT", _) => text = one,
            ("Tm", &[a, b, c, d, e, f]) => text = [a, b, c, d, e, f],
            ("Td", &[x, y]) => text = then([1.0, 0.0, 0.0, 1.0, x, y], text),
            ("Tj" | "TJ", _) => seen((0.0, 0.0), then(text, at)),
            ("m" | "l", &[x, y]) => seen((x, y), at),
            ("Do", _) => {
                seen((0.0, 0.0), at);
                seen((0.0, 1.0), at);
            }
            _ => {}
        }
    }
    (top - lowest) / (top - bottom)
}

/// Text of each page, without spaces: where a space is drawn is the typesetter's business.
fn page_texts(document: &Document) -> Vec<String> {
    document
        .get_pages()
        .keys()
        .map(|page| {
            let text = document.extract_text(&[*page]).unwrap();
            text.split_whitespace().collect()
        })
        .collect()
}

fn catalog_text(document: &Document, key: &[u8]) -> String {
    let info = document
        .trailer
        .get(b"Info")
        .unwrap()
        .as_reference()
        .unwrap();
    let value = document.get_dictionary(info).unwrap().get(key).unwrap();
    lopdf::decode_text_string(value).unwrap()
}

fn bookmarks(document: &Document) -> Vec<String> {
    fn walk(document: &Document, node: &lopdf::Dictionary, titles: &mut Vec<String>) {
        let mut next = node.get(b"First").ok();
        while let Some(Object::Reference(id)) = next {
            let item = document.get_dictionary(*id).unwrap();
            titles.push(lopdf::decode_text_string(item.get(b"Title").unwrap()).unwrap());
            walk(document, item, titles);
            next = item.get(b"Next").ok();
        }
    }
    let catalog = document.catalog().unwrap();
    let outlines = document
        .get_dictionary(catalog.get(b"Outlines").unwrap().as_reference().unwrap())
        .unwrap();
    let mut titles = Vec::new();
    walk(document, outlines, &mut titles);
    titles
}

#[test]
fn property_every_page_of_every_example_carries_revision_hash_and_count() {
    for (name, bytes) in example_packs() {
        let described = example(name);
        // Left behind so that a person can look at them.
        std::fs::write(
            Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.pdf")),
            bytes,
        )
        .unwrap();
        let document = Document::load_mem(bytes).unwrap();
        let pages = page_texts(&document);
        assert!(pages.len() >= 25, "{name}: {} pages", pages.len());
        let revision: String = described.identity.revision.split_whitespace().collect();
        for (index, page) in pages.iter().enumerate() {
            for expected in [
                format!("revision{revision}SHA-256{}", &HASH[..12]),
                format!("page{}of{}", index + 1, pages.len()),
                "example.toml".to_owned(),
                described.identity.tag.split_whitespace().collect(),
            ] {
                assert!(
                    page.contains(&expected),
                    "{name}, page {}: {expected}",
                    index + 1
                );
            }
        }
        let all: String = pages.concat();
        for expected in ["HOLDPOINT", "FORECAST", "Localcodes", "ASFOUND", "ASLEFT"] {
            assert!(all.contains(expected), "{name}: {expected}");
        }
        // A tank open to the air has no legs that meet in a manifold, and no steam over its water.
        let is_open = !described.vessel.kind.holds_steam();
        assert_eq!(all.contains("equaliser"), !is_open, "{name}");
        for absent in ["equalis", "steam", "hotvessel", "0gauge", "Fillthelegs"] {
            assert!(!is_open || !all.contains(absent), "{name}: {absent}");
        }
    }
}

// Common practice: a page that carries a line or two is a page too many, and is taken for a fault of the printer.
#[test]
fn practice_no_page_is_nearly_empty() {
    for (name, bytes) in example_packs() {
        let document = Document::load_mem(bytes).unwrap();
        let shares: Vec<(u32, f32)> = document
            .get_pages()
            .into_iter()
            .map(|(number, page)| (number, used_share(&document, page)))
            .collect();
        let sparse: Vec<_> = shares.iter().filter(|(_, share)| *share < 0.12).collect();
        assert!(sparse.is_empty(), "{name}: {sparse:?}");
        // The cover is signed at its foot and some sheet ends early: a measure that tells no pages apart would pass here.
        assert!(shares[0].1 > 0.8, "{name}: {:?}", shares[0]);
        assert!(shares.iter().any(|(_, share)| *share < 0.7), "{name}");
    }
}

#[test]
fn property_the_same_input_gives_the_same_bytes() {
    let described = example("laundry-shell-boiler");
    let first = pack_of(&described, HASH).unwrap();
    assert!(
        first == pack_of(&described, HASH).unwrap(),
        "two runs differ"
    );
    let other = pack_of(&described, &HASH.replace('0', "f")).unwrap();
    assert!(first != other, "the hash leaves no trace");
}

#[test]
fn property_paper_is_what_the_loop_asks_for() {
    let mut described = example("brewery-feed-tank");
    // ISO 216: 210 mm by 297 mm; ANSI/ASME Y14.1: 8.5 in by 11 in; in points of 1/72 in.
    for (paper, width, height) in [(Paper::A4, 595.276, 841.89), (Paper::Letter, 612.0, 792.0)] {
        described.identity.paper = paper;
        let document = Document::load_mem(&pack_of(&described, HASH).unwrap()).unwrap();
        for (number, id) in document.get_pages() {
            let media_box = document
                .get_dictionary(id)
                .unwrap()
                .get(b"MediaBox")
                .unwrap()
                .as_array()
                .unwrap();
            let size: Vec<f32> = media_box
                .iter()
                .map(|side| side.as_float().unwrap())
                .collect();
            assert!(
                (size[2] - width).abs() < 0.1 && (size[3] - height).abs() < 0.1,
                "page {number}: {size:?}",
            );
        }
    }
}

#[test]
fn property_metadata_bookmarks_language_and_tags_are_set() {
    let described = example("laundry-shell-boiler");
    let document = Document::load_mem(&pack_of(&described, HASH).unwrap()).unwrap();
    assert!(catalog_text(&document, b"Title").contains(&described.identity.tag));
    let engineer = described
        .people
        .iter()
        .find(|person| person.role.to_lowercase().contains("engineer"))
        .map_or("halfglass", |person| person.name.as_str());
    assert!(catalog_text(&document, b"Author").contains(engineer));
    assert!(catalog_text(&document, b"Keywords").contains(HASH));
    let info = document
        .trailer
        .get(b"Info")
        .unwrap()
        .as_reference()
        .unwrap();
    assert!(
        document
            .get_dictionary(info)
            .unwrap()
            .get(b"CreationDate")
            .is_err(),
        "a date would differ from run to run",
    );
    let catalog = document.catalog().unwrap();
    assert_eq!(
        lopdf::decode_text_string(catalog.get(b"Lang").unwrap()).unwrap(),
        "en"
    );
    assert!(catalog.get(b"StructTreeRoot").is_ok(), "tagged");
    let titles = bookmarks(&document);
    let mut from = 0;
    for expected in [
        "Survey",
        "Level map",
        "Range",
        "Error map",
        "Glass card for the wall",
        "Controller settings",
        "Tuning",
        "Loss of signal",
        "Installation checklist",
        "Manifold orders",
        "Commissioning steps",
        "Survey checked",
        "Bench",
        "BOTH cutoffs",
        "Pressure: zero",
        "Bump test",
        "Hand-over",
        "Findings",
        "Assumptions",
        "Workings",
    ] {
        let found = titles[from..]
            .iter()
            .position(|title| title.contains(expected));
        from +=
            found.unwrap_or_else(|| panic!("{expected} is missing or out of order: {titles:#?}"));
    }
}

#[test]
fn property_what_cannot_be_printed_is_refused() {
    let mut described = example("brewery-feed-tank");
    assert!(matches!(
        pack_of(&described, "0123"),
        Err(PackError::Hash(4))
    ));
    assert!(matches!(
        pack_of(&described, &HASH.replace('0', "x")),
        Err(PackError::Hash(_))
    ));
    // Source Sans 3 has no Han characters: an empty box on paper would be a silent loss.
    described.identity.service = "feed tank \u{6c34}".into();
    let refused = pack_of(&described, HASH);
    assert!(
        matches!(refused, Err(PackError::Write(_))),
        "{:?}",
        refused.map(|bytes| bytes.len())
    );
}

#[test]
fn property_text_of_the_loop_file_is_never_markup() {
    let mut described = example("brewery-feed-tank");
    described.identity.service = "tank #1 *hot* _cold_ $x$ @a <b> [c] \\ `d` #panic()".into();
    let document = Document::load_mem(&pack_of(&described, HASH).unwrap()).unwrap();
    let first = &page_texts(&document)[0];
    assert!(
        first.contains("*hot*_cold_$x$@a<b>[c]\\`d`#panic()"),
        "{first}"
    );
}

#[test]
fn property_a_draft_says_so_on_every_page_and_is_not_signed() {
    let mut described = example("brewery-feed-tank");
    let signed = |described: &Loop| {
        let bytes = pack_of(described, HASH).unwrap();
        // Left behind so that a person can look at it.
        std::fs::write(
            Path::new(env!("CARGO_TARGET_TMPDIR")).join("draft.pdf"),
            &bytes,
        )
        .unwrap();
        page_texts(&Document::load_mem(&bytes).unwrap())
    };
    let pages = signed(&described);
    assert!(pages[0].contains("Acceptedforoperationby"));
    assert!(pages.iter().all(|page| !page.contains("DRAFT")));
    described.placeholders = vec!["cell.below-lower-tap".into(), "limits.low-cutoff".into()];
    let pages = signed(&described);
    for (index, page) in pages.iter().enumerate() {
        assert!(page.contains("DRAFT"), "page {}", index + 1);
    }
    assert!(pages[0].contains("2valuesoftheloopfileareinvented"));
    assert!(pages[0].contains("mustnotbeused"));
    assert!(pages[0].contains("limits.low-cutoff"));
    assert!(!pages[0].contains("Acceptedforoperationby"));
}
