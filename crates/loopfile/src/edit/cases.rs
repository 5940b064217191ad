//! Cases of editing, by hand: what is typed, and the text that comes of it.

use super::*;

#[track_caller]
fn check(before: &str, change: impl FnOnce(&str) -> Result<String, EditError>, after: &str) {
    assert_eq!(change(before).unwrap(), after);
}

#[test]
fn practice_the_kind_of_the_key_decides_the_quotes() {
    let text = "[valve]\nrangeability = 50 # r\n[actuator]\nbalanced = false\n";
    check(
        text,
        |text| set(text, "valve.rangeability", "30"),
        "[valve]\nrangeability = 30 # r\n[actuator]\nbalanced = false\n",
    );
    check(
        text,
        |text| set(text, "actuator.balanced", "true"),
        "[valve]\nrangeability = 50 # r\n[actuator]\nbalanced = true\n",
    );
    // What is no number is kept as typed, and is the reader's to report.
    check(
        text,
        |text| set(text, "valve.rangeability", "30 # x\n[loop]"),
        "[valve]\nrangeability = \"30 # x\\n[loop]\" # r\n[actuator]\nbalanced = false\n",
    );
    check(
        text,
        |text| set(text, "actuator.rated-force", " 2000 N "),
        "[valve]\nrangeability = 50 # r\n[actuator]\nrated-force = \"2000 N\"\nbalanced = false\n",
    );
}

#[test]
fn practice_a_value_of_another_type_can_be_mended() {
    let text = "[reference-leg]\npot-lip = 31\n[controller]\nlinearisation-points = \"2\"\n";
    let now = values(text).unwrap();
    assert_eq!(
        now.get("reference-leg.pot-lip").unwrap().text.as_deref(),
        Some("31")
    );
    assert_eq!(
        now.get("controller.linearisation-points")
            .unwrap()
            .text
            .as_deref(),
        Some("\"2\"")
    );
    check(
        text,
        |text| set(text, "controller.linearisation-points", "2"),
        "[reference-leg]\npot-lip = 31\n[controller]\nlinearisation-points = 2\n",
    );
}

#[test]
fn practice_lists_change_item_by_item() {
    let text = "[loop]\nnotes = [\n  'a', # first\n  \"b\" # second\n]\n";
    let set = |typed: &'static str| move |text: &str| set(text, "loop.notes", typed);
    check(
        text,
        set("a\nc"),
        "[loop]\nnotes = [\n  'a', # first\n  \"c\" # second\n]\n",
    );
    check(
        text,
        set("a\r\nb\r\nc\r\n"),
        "[loop]\nnotes = [\n  'a', # first\n  \"b\", # second\n  \"c\"\n]\n",
    );
    assert_eq!(
        set("a")(text),
        Err(EditError::InTextOnly("loop.notes".into())),
        "a remark between items may be about the one that goes"
    );
    check(
        "[loop]\nnotes = [\"a\", \"b\"]\n",
        set("b"),
        "[loop]\nnotes = [\"b\"]\n",
    );
    check(
        "[loop]\nnotes = [\"a\"]\n",
        set("a\nb"),
        "[loop]\nnotes = [\"a\", \"b\"]\n",
    );
    check(
        "[loop]\nnotes = []\n",
        set("a"),
        "[loop]\nnotes = [\"a\"]\n",
    );
    check(
        "[loop]\nnotes = [\"a\", \"b\"]\n",
        set(""),
        "[loop]\nnotes = []\n",
    );
    check(
        "[wiring]\ncell-terminals = [\"1\", \"2\"]\n",
        |text| super::set(text, "wiring.cell-terminals", "\r\n2"),
        "[wiring]\ncell-terminals = [\"\", \"2\"]\n",
    );
}

#[test]
fn practice_the_mark_goes_with_the_change_and_other_words_stay() {
    let text =
        "[loop]\ntag = \"A\"  # 2:1 # invented: replace\nplant = \"P\" # invented: replace\n";
    check(
        text,
        |text| set(text, "loop.tag", "B"),
        "[loop]\ntag = \"B\"  # 2:1\nplant = \"P\" # invented: replace\n",
    );
    check(
        text,
        |text| confirm(text, "loop.plant"),
        "[loop]\ntag = \"A\"  # 2:1 # invented: replace\nplant = \"P\"\n",
    );
    // One mark for two values stays as long as the other is not looked up.
    let inline = "loop = { tag = \"T\", plant = \"P\" } # invented: replace\n";
    check(
        inline,
        |text| set(text, "loop.tag", "U"),
        "loop = { tag = \"U\", plant = \"P\" } # invented: replace\n",
    );
    assert_eq!(
        confirm(inline, "loop.tag"),
        Err(EditError::InTextOnly("loop.tag".into()))
    );
}

#[test]
fn practice_new_keys_stand_behind_their_neighbours() {
    let text = "# head\n\n[vessel]\nkind = \"deaerator\"\nheads = \"flat\" # both\n\n[cell]\n  damping = \"1 s\"";
    check(
        text,
        |text| set(text, "vessel.orientation", "vertical"),
        "# head\n\n[vessel]\nkind = \"deaerator\"\norientation = \"vertical\"\nheads = \"flat\" # both\n\n[cell]\n  damping = \"1 s\"",
    );
    check(
        text,
        |text| set(text, "loop.tag", "A"),
        "# head\n\n[loop]\ntag = \"A\"\n\n[vessel]\nkind = \"deaerator\"\nheads = \"flat\" # both\n\n[cell]\n  damping = \"1 s\"",
    );
    check(
        text,
        |text| set(text, "duty[1].name", "low"),
        "# head\n\n[vessel]\nkind = \"deaerator\"\nheads = \"flat\" # both\n\n[cell]\n  damping = \"1 s\"\n\n[[duty]]\nname = \"low\"\n",
    );
    // Where an example of the key stands as a remark, behind that.
    check(
        "[cell]\n# About damping.\n#damping = \"1 s\"\nstatic-limit = \"9 bar(g)\"\n",
        |text| set(text, "cell.damping", "2 s"),
        "[cell]\n# About damping.\n#damping = \"1 s\"\ndamping = \"2 s\"\nstatic-limit = \"9 bar(g)\"\n",
    );
    assert_eq!(
        set(text, "duty[2].name", "x"),
        Err(EditError::NoBlock("duty[2]".into()))
    );
}

#[test]
fn practice_paths_that_are_none_and_texts_that_are_none() {
    for path in [
        "",
        "x",
        "duty.name",
        "duty[0].name",
        "duty[x].name",
        "vessel[1].kind",
        "vessel.x",
        "duty[+1].name",
    ] {
        assert!(
            matches!(set("", path, "x"), Err(EditError::Unknown(_))),
            "{path}"
        );
    }
    for text in ["[loop", "a = 1\na = 2\n", "\0", &"[".repeat(99)] {
        match values(text) {
            Err(EditError::NotToml(problems)) => assert!(!problems.is_empty(), "{text:?}"),
            other => panic!("{text:?}: {other:?}"),
        }
    }
    assert_eq!(
        set("loop = { tag = \"T\" }\n", "loop.plant", "P"),
        Err(EditError::InTextOnly("loop".into()))
    );
    assert_eq!(
        remove("loop = { tag = \"T\" }\n", "loop.tag"),
        Err(EditError::InTextOnly("loop.tag".into()))
    );
}
