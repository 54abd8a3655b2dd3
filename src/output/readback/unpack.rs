//! Streams of a PDF, unpacked in a bounded way.

use flate2::{Decompress, FlushDecompress, Status};

use super::ReadBackError;
use super::budget::{Budget, PACKED, STREAM_OPENED, UNPACKED};
use super::scan::ScanValue;

/// How a stream is packed.
#[derive(Clone, Copy, Debug)]
enum StreamPacking {
    None,
    Flate,
    Other,
}

impl StreamPacking {
    fn of(dictionary: &ScanValue<'_>) -> Self {
        let filter = match dictionary.get(b"Filter") {
            Some(ScanValue::Array(filters)) if filters.len() <= 1 => filters.first(),
            filter => filter,
        };
        match filter {
            None => Self::None,
            Some(name) if name.is_name(b"FlateDecode") && !predicted(dictionary) => Self::Flate,
            Some(_) => Self::Other,
        }
    }
}

/// Whether rows of bytes are predicted from their neighbours, which suits pictures only.
fn predicted(dictionary: &ScanValue<'_>) -> bool {
    let parameters = match dictionary.get(b"DecodeParms") {
        Some(ScanValue::Array(list)) => list.first(),
        parameters => parameters,
    };
    let predictor = parameters.and_then(|parameters| parameters.get(b"Predictor"));
    predictor.is_some_and(|predictor| *predictor != ScanValue::Integer(1))
}

/// The bytes of a stream as they stand in the file.
pub(super) struct PackedStream<'a> {
    bytes: &'a [u8],
    filter: StreamPacking,
}

impl<'a> PackedStream<'a> {
    /// The stream with these bytes and this dictionary.
    pub(super) fn of(bytes: &'a [u8], dictionary: &ScanValue<'_>) -> Self {
        Self { bytes, filter: StreamPacking::of(dictionary) }
    }

    /// What is packed in it, if it is no more than `limit` bytes. What is unpacked in vain is
    /// paid for too.
    pub(super) fn unpack(
        &self,
        limit: usize,
        budget: &mut Budget,
    ) -> Result<Vec<u8>, ReadBackError> {
        match self.filter {
            StreamPacking::None if self.bytes.len() > limit => Err(ReadBackError::TooLarge),
            StreamPacking::None => {
                budget.pay(self.bytes.len(), UNPACKED)?;
                Ok(self.bytes.to_vec())
            }
            StreamPacking::Flate => inflate(self.bytes, limit, budget),
            StreamPacking::Other => {
                Err(ReadBackError::Broken("the recipe is packed in an unknown way"))
            }
        }
    }
}

fn inflate(packed: &[u8], limit: usize, budget: &mut Budget) -> Result<Vec<u8>, ReadBackError> {
    /// Bytes that are unpacked before they are paid for.
    const BITE: usize = 1024;
    const BROKEN: ReadBackError = ReadBackError::Broken("the attached recipe cannot be unpacked");
    budget.pay(1, STREAM_OPENED)?;
    let mut inflater = Decompress::new(true);
    // One byte more than may be, so that too many are found out.
    let most = limit.saturating_add(1);
    // All at once: memory that is not written to costs nothing, and growing takes twice as much.
    let mut bytes = Vec::with_capacity(most);
    let mut rest = packed;
    loop {
        let (read, written) = (inflater.total_in(), bytes.len());
        let bite = &rest[..rest.len().min(BITE)];
        let status = inflater.decompress_vec(bite, &mut bytes, FlushDecompress::None);
        // No more than the bite.
        let read = (inflater.total_in() - read) as usize;
        rest = &rest[read..];
        budget.pay(read, PACKED)?;
        budget.pay(bytes.len() - written, UNPACKED)?;
        if bytes.len() > limit {
            return Err(ReadBackError::TooLarge);
        }
        match status {
            Ok(Status::StreamEnd) => return Ok(bytes),
            Ok(_) if read > 0 || bytes.len() > written => {}
            _ => return Err(BROKEN),
        }
    }
}
