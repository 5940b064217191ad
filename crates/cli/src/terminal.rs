//! Blocks as terminal text: 80 columns, words wrapped, numbers to the right.

use std::fmt::Write as _;

use halfglass_core::finding::Severity;
use halfglass_report::block::{Align, Block, FindingRow, Section, Table, ValueRow, WorkingRow};
use unicode_width::UnicodeWidthStr;

/// Width of a page of terminal text.
const WIDTH: usize = 80;

/// A section as text with styles; `anstream` strips them in a pipe.
pub(crate) fn section_text(section: &Section) -> String {
    let mut text = String::new();
    let bold = anstyle::Style::new().bold();
    let _ = writeln!(text, "{bold}{}{bold:#}", section.title.to_uppercase());
    let _ = writeln!(text, "{}", "─".repeat(WIDTH));
    for block in &section.blocks {
        text.push_str(&block_text(block));
        text.push('\n');
    }
    text
}

fn block_text(block: &Block) -> String {
    match block {
        Block::Heading(words) => {
            let bold = anstyle::Style::new().bold();
            format!("{bold}{words}{bold:#}\n")
        }
        Block::Paragraph(words) => wrapped(words, 0, WIDTH),
        Block::Caution(words) => {
            let bold = anstyle::Style::new().bold();
            format!(
                "{bold}CAUTION{bold:#}  {}",
                wrapped(words, 9, WIDTH).trim_start()
            )
        }
        Block::Values(rows) => values_text(rows),
        Block::Table(table) => table_text(table),
        Block::Figure(figure) => wrapped(
            &format!("[Figure: {}. {}]", figure.caption, figure.alt),
            0,
            WIDTH,
        ),
        Block::Findings(rows) => rows.iter().map(finding_text).collect(),
        Block::Steps(steps) => steps
            .iter()
            .enumerate()
            .map(|(index, step)| {
                format!("{:>3}. {}", index + 1, wrapped(step, 5, WIDTH).trim_start())
            })
            .collect(),
        Block::Workings(rows) => rows.iter().map(working_text).collect(),
    }
}

/// How a severity is written and coloured: the word carries the meaning, colour only helps.
pub(crate) fn severity_word(severity: Severity) -> String {
    let style = match severity {
        Severity::Stop => anstyle::AnsiColor::Red.on_default().bold(),
        Severity::Warn => anstyle::AnsiColor::Yellow.on_default().bold(),
        Severity::Note => anstyle::Style::new().bold(),
    };
    format!("{style}{}{style:#}", severity.word())
}

fn finding_text(row: &FindingRow) -> String {
    let lead = format!("{}[{}]:", row.severity.word(), row.code);
    let words = wrapped(&format!("{lead} {}", row.text[0]), 2, WIDTH);
    let mut text =
        words
            .trim_start()
            .replacen(row.severity.word(), &severity_word(row.severity), 1);
    for (label, words) in [("means: ", &row.text[1]), ("do:    ", &row.text[2])] {
        if !words.is_empty() {
            let _ = write!(text, "  {label}{}", wrapped(words, 9, WIDTH).trim_start());
        }
    }
    if !row.input.is_empty() {
        let _ = writeln!(text, "  input: {}", row.input);
    }
    text
}

fn working_text(row: &WorkingRow) -> String {
    let mut text = format!("{}\n", row.title);
    let _ = write!(text, "{}", wrapped(row.formula, 4, WIDTH));
    for input in &row.inputs {
        let _ = write!(text, "{}", wrapped(input, 6, WIDTH));
    }
    let _ = write!(text, "{}", wrapped(&format!("= {}", row.result), 4, WIDTH));
    let _ = write!(
        text,
        "{}",
        wrapped(&format!("source: {}", row.source), 4, WIDTH)
    );
    let _ = write!(
        text,
        "{}",
        wrapped(&format!("holds: {}", row.validity), 4, WIDTH)
    );
    text
}

fn values_text(rows: &[ValueRow]) -> String {
    let label_width = rows
        .iter()
        .map(|row| row.label.width())
        .max()
        .unwrap_or(0)
        .min(34);
    let mut text = String::new();
    for row in rows {
        let mut words = row.value.clone();
        if !row.note.is_empty() {
            let _ = write!(words, "  ({})", row.note);
        }
        let indent = label_width + 4;
        let body = wrapped(&words, indent, WIDTH);
        if row.label.width() > label_width {
            let _ = write!(text, "  {}\n{body}", row.label);
        } else {
            let _ = write!(
                text,
                "  {}  {}",
                padded(&row.label, label_width, Align::Left),
                body.trim_start()
            );
        }
    }
    text
}

fn table_text(table: &Table) -> String {
    let widths = column_widths(table);
    let mut text = String::new();
    if !table.caption.is_empty() {
        text.push_str(&wrapped(&table.caption, 0, WIDTH));
    }
    let heads: Vec<&str> = table
        .columns
        .iter()
        .map(|column| column.head.as_str())
        .collect();
    text.push_str(&row_text(&heads, table, &widths));
    let rule: Vec<String> = widths.iter().map(|width| "─".repeat(*width)).collect();
    let _ = writeln!(text, "{}", rule.join("  "));
    for row in &table.rows {
        let cells: Vec<&str> = row.iter().map(String::as_str).collect();
        text.push_str(&row_text(&cells, table, &widths));
    }
    text
}

/// Widths that let the table fit: columns of numbers keep theirs, the widest columns of words give way.
fn column_widths(table: &Table) -> Vec<usize> {
    // As `wrapped` breaks them: a percent sign stays with the word before it.
    let longest_word = |words: &str| {
        words
            .replace(" %", "\u{a0}%")
            .split([' ', '\n'])
            .map(UnicodeWidthStr::width)
            .max()
            .unwrap_or(0)
    };
    let natural: Vec<usize> = (0..table.columns.len())
        .map(|index| {
            let cells = table
                .rows
                .iter()
                .filter_map(|row| row.get(index))
                .map(|cell| cell.width());
            let head = match table.columns[index].align {
                Align::Left => table.columns[index].head.width(),
                Align::Right => longest_word(&table.columns[index].head),
            };
            cells.chain([head]).max().unwrap_or(1).max(1)
        })
        .collect();
    let least: Vec<usize> = (0..table.columns.len())
        .map(|index| {
            let cells = table
                .rows
                .iter()
                .filter_map(|row| row.get(index))
                .map(|cell| longest_word(cell));
            cells
                .chain([longest_word(&table.columns[index].head)])
                .max()
                .unwrap_or(1)
                .max(1)
        })
        .collect();
    let room = WIDTH.saturating_sub(2 * table.columns.len().saturating_sub(1));
    let mut widths = natural;
    while widths.iter().sum::<usize>() > room {
        let Some(widest) = (0..widths.len())
            .filter(|index| widths[*index] > least[*index])
            .max_by_key(|index| widths[*index])
        else {
            break;
        };
        widths[widest] -= 1;
    }
    widths
}

fn row_text(cells: &[&str], table: &Table, widths: &[usize]) -> String {
    let lines: Vec<Vec<String>> = cells
        .iter()
        .zip(widths)
        .map(|(cell, width)| {
            wrapped(cell, 0, *width)
                .lines()
                .map(str::to_owned)
                .collect()
        })
        .collect();
    let height = lines.iter().map(Vec::len).max().unwrap_or(0).max(1);
    let mut text = String::new();
    for line in 0..height {
        let parts: Vec<String> = (0..widths.len())
            .map(|column| {
                let cell = lines
                    .get(column)
                    .and_then(|cell| cell.get(line))
                    .map_or("", String::as_str);
                padded(cell, widths[column], table.columns[column].align)
            })
            .collect();
        let _ = writeln!(text, "{}", parts.join("  ").trim_end());
    }
    text
}

fn padded(words: &str, width: usize, align: Align) -> String {
    let gap = " ".repeat(width.saturating_sub(words.width()));
    match align {
        Align::Left => format!("{words}{gap}"),
        Align::Right => format!("{gap}{words}"),
    }
}

/// Wraps words at `width` columns, every line indented; always ends in a line break.
pub(crate) fn wrapped(words: &str, indent: usize, width: usize) -> String {
    let mut text = String::new();
    // A number and its percent sign stay together.
    let words = words.replace(" %", "\u{a0}%");
    for paragraph in words.split('\n') {
        // Columns taken in this line; none before its first word.
        let mut taken = None;
        for word in paragraph.split(' ').filter(|word| !word.is_empty()) {
            let columns = word.width();
            taken = match taken {
                Some(before) if before + 1 + columns <= width => {
                    text.push(' ');
                    Some(before + 1 + columns)
                }
                before => {
                    if before.is_some() {
                        text.push('\n');
                    }
                    text.extend(std::iter::repeat_n(' ', indent));
                    Some(indent + columns)
                }
            };
            text.push_str(word);
        }
        text.push('\n');
    }
    text.replace('\u{a0}', " ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfglass_report::block::Column;

    fn table(heads: &[(&str, Align)], rows: &[&[&str]]) -> Table {
        let columns = heads.iter().map(|(head, align)| Column {
            head: (*head).into(),
            align: *align,
        });
        let rows = rows
            .iter()
            .map(|row| row.iter().map(|cell| (*cell).into()).collect());
        Table::new("", columns.collect()).with_rows(rows.collect())
    }

    #[test]
    fn property_tables_fit_80_columns() {
        let long = "a failure described at some length so that it cannot possibly stand on one line of the terminal";
        let text = table_text(&table(
            &[
                ("what fails", Align::Left),
                ("what the controller does", Align::Left),
                ("minutes", Align::Right),
            ],
            &[&[long, long, "12.5"], &["short", "short", "1.0"]],
        ));
        assert!(text.lines().all(|line| line.width() <= WIDTH), "{text}");
        assert!(text.contains("12.5"));
    }

    #[test]
    fn regression_numbers_stand_to_the_right() {
        let text = table_text(&table(&[("percent", Align::Right)], &[&["5"], &["100"]]));
        assert_eq!(text, "percent\n───────\n      5\n    100\n");
    }

    #[test]
    fn property_wrapping_keeps_every_word() {
        let words =
            "the quick brown fox jumps over the lazy dog and goes on to where the level is true";
        let wrapped = wrapped(words, 4, 20);
        assert_eq!(
            wrapped.split_whitespace().collect::<Vec<_>>(),
            words.split_whitespace().collect::<Vec<_>>()
        );
        assert!(wrapped.lines().all(|line| line.width() <= 20));
    }
}
