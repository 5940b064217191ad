//! Tests of records read from text.

use halfglass_core::identify::steps::output_steps;

use super::*;

fn read(text: &str, taken: Taken) -> Result<Trend, Vec<Problem>> {
    read_trend(text.as_bytes(), taken, &AskedColumns::default())
}

/// The same five readings in every dress that plotters give them are the same record.
#[test]
fn property_every_dress_is_the_same_record() {
    let plain = read(
        "time,level,output\n0,50,40\n60,50,40\n120,50.5,50\n180,51,50\n240,51.5,50\n",
        Taken::Trend,
    )
    .unwrap();
    assert_eq!(plain.record.time_s(), [0.0, 60.0, 120.0, 180.0, 240.0]);
    for (what, text) in [
        (
            "decimal commas, semicolons, units in the head",
            "Time [min];LIC-101 level, %;Output (%)\n0;50,0;40\n1;50,0;40\n2;50,5;50,0\n3;51;50\n4;51,5;50\n",
        ),
        (
            "ISO dates, over midnight, more columns, a remark",
            "# invented\nTimestamp,SP,PV,OP,True level\n2026-11-27T23:58:00Z,50,50,40,1\n2026-11-27T23:59:00Z,50,50,40,1\n2026-11-28T00:00:00Z,50,50.5,50,1\n2026-11-28T00:01:00Z,50,51,50,1\n2026-11-28T00:02:00Z,50,51.5,50,1\n",
        ),
        (
            "dates without a zone, tabulators, a byte order mark",
            "\u{feff}Date time\tLevel\tOutput\n2026-11-27 10:00:00\t50\t40\n2026-11-27 10:01:00\t50\t40\n2026-11-27 10:02:00\t50.5\t50\n2026-11-27 10:03:00\t51\t50\n2026-11-27 10:04:00\t51.5\t50\n",
        ),
        (
            "epoch in seconds, current of the cell",
            "t,level (mA),output\n1764230400,12,40\n1764230460,12,40\n1764230520,12.08,50\n1764230580,12.16,50\n1764230640,12.24,50\n",
        ),
        (
            "epoch in milliseconds",
            "time,level_percent,output_percent\n1764230400000,50,40\n1764230460000,50,40\n1764230520000,50.5,50\n1764230580000,51,50\n1764230640000,51.5,50\n",
        ),
        (
            "clock over midnight",
            "time,level,output\n23:59:00,50,40\n00:00:00,50,40\n00:01:00,50.5,50\n00:02:00,51,50\n00:03:00,51.5,50\n",
        ),
    ] {
        let found =
            read(text, Taken::Trend).unwrap_or_else(|problems| panic!("{what}: {problems:?}"));
        for (a, b) in found.record.time_s().iter().zip(plain.record.time_s()) {
            assert!((a - b).abs() < 1e-6, "{what}");
        }
        for (a, b) in found
            .record
            .indicated_level_percent()
            .iter()
            .zip(plain.record.indicated_level_percent())
        {
            assert!((a - b).abs() < 1e-9, "{what}");
        }
        assert_eq!(
            output_steps(&found.record),
            output_steps(&plain.record),
            "{what}"
        );
    }
}

/// Noted readings: an output where it changes, at its own time; without a head.
#[test]
fn property_a_noted_step_keeps_its_own_time() {
    for text in [
        "0:00, 50 %, 40 %\n1:00, 50 %\n1:10, , 50 %\n2:00, 50.5 %\n3:00, 51 %\n4:00, 51.5 %\n",
        "0 s; 50; 40\n1 min; 50\n70 s; ; 50\n2 min; 50,5;\n3 min; 51; 50\n4 min; 51,5\n",
    ] {
        let found = read(text, Taken::Readings).unwrap();
        assert_eq!(found.record.time_s(), [0.0, 60.0, 120.0, 180.0, 240.0]);
        let steps = output_steps(&found.record);
        assert!((steps.first_percent - 40.0).abs() < 1e-12);
        assert_eq!(steps.steps.len(), 1);
        assert!((steps.steps[0].time_s - 70.0).abs() < 1e-12);
        assert!(steps.time_uncertainty_s.abs() < 1e-12);
    }
}

/// Every way to be wrong has its code, its place and a way out.
#[test]
fn property_what_cannot_be_read_is_told_at_its_place() {
    for (text, code, place) in [
        ("", "record-empty", ""),
        ("time,level\n0,1\n", "record-column-missing", "time,level"),
        (
            "time,true level,output\n0,1,2\n",
            "record-column-missing",
            "time,true level,output",
        ),
        (
            "time,level 1,level 2,output\n0,1,2,3\n",
            "record-column-ambiguous",
            "level 1",
        ),
        (
            "time,level (in),output\n0,1,2\n",
            "record-unit",
            "level (in)",
        ),
        (
            "time,level,output\n0,1,2\n1,bad,2\n",
            "record-cell-unreadable",
            "bad",
        ),
        (
            "time,level,output\nnoon,1,2\n",
            "record-cell-unreadable",
            "noon",
        ),
        (
            "time,level,output\n0,1,2\n1,50,5,40\n",
            "record-row-too-long",
            "40",
        ),
        ("time,level,output\n0,1,2\n,1,2\n", "record-no-time", ""),
        ("time,level,output\n0,1,\n", "record-no-output", "0"),
        (
            "time,level,output\n5,1,2\n5,1,2\n",
            "record-time-order",
            "5",
        ),
    ] {
        let problems = read(text, Taken::Trend).unwrap_err();
        assert_eq!(problems.len(), 1, "{text}: {problems:?}");
        let problem = &problems[0];
        assert_eq!(problem.code, code, "{text}");
        assert_eq!(&text[problem.primary.span.clone()], place, "{text}");
        assert!(problem.help.is_some(), "{text}");
    }
    let wide = "t\0i\0m\0e\0".as_bytes();
    let told = read_trend(wide, Taken::Trend, &AskedColumns::default()).unwrap_err();
    assert_eq!(told[0].code, "record-not-text");
    // A record that would be cut off is refused whole.
    let long = "0,1,2\n".repeat(LARGEST_RECORD_BYTES / 6 + 1);
    assert_eq!(
        read(&long, Taken::Trend).unwrap_err()[0].code,
        "record-too-large"
    );
}

#[test]
fn property_a_column_asked_for_goes_before_its_words() {
    let text = "time,level 1,level 2,output\n0,1,2,3\n1,,5,3\n";
    let asked = AskedColumns {
        level: Some("LEVEL 2".into()),
        ..AskedColumns::default()
    };
    let found = read_trend(text.as_bytes(), Taken::Trend, &asked).unwrap();
    assert_eq!(found.columns, ["time", "level 2", "output"]);
    assert_eq!(found.record.indicated_level_percent(), [2.0, 5.0]);
    let first = AskedColumns {
        level: Some("level 1".into()),
        ..AskedColumns::default()
    };
    let found = read_trend(text.as_bytes(), Taken::Trend, &first).unwrap();
    assert_eq!((found.record.readings(), found.left_out), (1, 1));
    let wrong = AskedColumns {
        time: Some("when".into()),
        ..AskedColumns::default()
    };
    let told = read_trend(text.as_bytes(), Taken::Trend, &wrong).unwrap_err();
    assert!(told[0].help.as_ref().unwrap().contains("`level 2`"));
}
