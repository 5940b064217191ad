//! Samples of runs as Parquet, in the columns of the CSV.

use std::sync::Arc;

use halfglass_report::json::COLUMNS;
use halfglass_report::samples::{FIRST, first};
use halfglass_report::sections::{LabelledRun, SIMULATION};
use parquet::basic::{LogicalType, Repetition, Type as PhysicalType};
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType};
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::Type;

use crate::failure::Failure;

pub(super) fn internal(error: impl std::fmt::Display) -> Failure {
    Failure::Internal {
        what: format!("samples could not be written: {error}"),
    }
}

/// The same columns as Parquet, one row group a run.
pub(super) fn parquet(runs: &[LabelledRun]) -> Result<Vec<u8>, Failure> {
    let mut fields = vec![Arc::new(
        Type::primitive_type_builder(FIRST, PhysicalType::BYTE_ARRAY)
            .with_repetition(Repetition::REQUIRED)
            .with_logical_type(Some(LogicalType::String))
            .build()
            .map_err(internal)?,
    )];
    for (name, _) in COLUMNS {
        fields.push(Arc::new(
            Type::primitive_type_builder(name, PhysicalType::DOUBLE)
                .with_repetition(Repetition::OPTIONAL)
                .build()
                .map_err(internal)?,
        ));
    }
    let schema = Type::group_type_builder("halfglass_simulation")
        .with_fields(fields)
        .build()
        .map_err(internal)?;
    let properties = WriterProperties::builder()
        .set_created_by(format!("halfglass ({SIMULATION})"))
        .build();
    let mut writer = SerializedFileWriter::new(Vec::new(), Arc::new(schema), Arc::new(properties))
        .map_err(internal)?;
    for run in runs {
        let samples = &run.run.samples;
        let mut group = writer.next_row_group().map_err(internal)?;
        let mut index = 0;
        while let Some(mut column) = group.next_column().map_err(internal)? {
            if index == 0 {
                let words = vec![ByteArray::from(first(run).as_str()); samples.len()];
                column
                    .typed::<ByteArrayType>()
                    .write_batch(&words, None, None)
                    .map_err(internal)?;
            } else {
                let (_, of) = COLUMNS[index - 1];
                let cells: Vec<Option<f64>> = samples.iter().map(of).collect();
                let values: Vec<f64> = cells.iter().flatten().copied().collect();
                let there: Vec<i16> = cells.iter().map(|cell| i16::from(cell.is_some())).collect();
                column
                    .typed::<DoubleType>()
                    .write_batch(&values, Some(&there), None)
                    .map_err(internal)?;
            }
            column.close().map_err(internal)?;
            index += 1;
        }
        group.close().map_err(internal)?;
    }
    writer.into_inner().map_err(internal)
}
