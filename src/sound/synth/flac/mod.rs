//! FLAC as RFC 9639 describes it: the same samples in about two thirds of the bytes, with the
//! words that players show.
//!
//! Frames go out as they are made, so that memory does not grow; what only the end knows, the
//! digest and the sizes of frames, is put into the head afterwards.

mod bits;
mod frame;
mod predict;
mod rice;

use md5::{Digest as _, Md5};

use super::dsp::RATE;
use super::{TrackTags, wav};
use crate::parallel;
use bits::BitWriter;

/// Frames of sound in a frame of the file.
const BLOCK: usize = 4096;

/// Packs samples of one channel.
pub(super) struct Packer {
    digest: Md5,
    waiting: Vec<i16>,
    number: u64,
    frames: u64,
    smallest: usize,
    largest: usize,
    tags: TrackTags,
}

impl Packer {
    pub(super) fn new(tags: TrackTags) -> Self {
        Self {
            digest: Md5::new(),
            waiting: Vec::new(),
            number: 0,
            frames: 0,
            smallest: usize::MAX,
            largest: 0,
            tags,
        }
    }

    /// The frames of the file that are whole once these samples have come.
    pub(super) fn take(&mut self, samples: &[i16]) -> Vec<u8> {
        self.digest.update(wav::body(samples));
        self.frames += samples.len() as u64;
        self.waiting.extend_from_slice(samples);
        let whole = self.waiting.len() / BLOCK * BLOCK;
        let rest = self.waiting.split_off(whole);
        let ready = std::mem::replace(&mut self.waiting, rest);
        self.packed(&ready)
    }

    /// The last frame.
    pub(super) fn rest(&mut self) -> Vec<u8> {
        let rest = std::mem::take(&mut self.waiting);
        self.packed(&rest)
    }

    fn packed(&mut self, samples: &[i16]) -> Vec<u8> {
        let first = self.number;
        let blocks = samples.chunks(BLOCK).zip(first..);
        let frames = parallel::map(blocks, |(block, number)| frame::packed(block, number));
        self.number += frames.len() as u64;
        for frame in &frames {
            self.smallest = self.smallest.min(frame.len());
            self.largest = self.largest.max(frame.len());
        }
        frames.concat()
    }

    /// The head; its length is the same before and after the frames.
    pub(super) fn head(&self) -> Vec<u8> {
        let mut head = b"fLaC".to_vec();
        let mut facts = BitWriter::default();
        for _ in 0..2 {
            facts.put(BLOCK as u64, 16);
        }
        facts.put(if self.largest == 0 { 0 } else { self.smallest as u64 }, 24);
        facts.put(self.largest as u64, 24);
        facts.put(u64::from(RATE), 20);
        facts.put(0, 3); // one channel
        facts.put(15, 5); // of 16 bits
        facts.put(self.frames, 36);
        let mut facts = facts.bytes();
        facts.extend(self.digest.clone().finalize());
        put_block(&mut head, 0, false, &facts);
        put_block(&mut head, 4, true, &comments(&self.tags));
        head
    }
}

/// A block of the head: its kind, whether it is the last, its length, its bytes.
fn put_block(head: &mut Vec<u8>, kind: u8, is_last: bool, bytes: &[u8]) {
    head.push(kind | if is_last { 0x80 } else { 0 });
    head.extend(&(bytes.len() as u32).to_be_bytes()[1..]);
    head.extend(bytes);
}

/// Words about the track as `NAME=value`.
fn comments(tags: &TrackTags) -> Vec<u8> {
    let tempo = tags.tempo.map(|tempo| format!("{tempo}"));
    let rows = [
        ("TITLE", tags.title.as_deref()),
        ("ARTIST", tags.artist.as_deref()),
        ("ALBUM", tags.album.as_deref()),
        ("BPM", tempo.as_deref()),
    ];
    let rows: Vec<String> = rows
        .into_iter()
        .filter_map(|(name, value)| value.map(|value| format!("{name}={value}")))
        .collect();
    let mut bytes = Vec::new();
    let mut put = |text: &str| {
        bytes.extend((text.len() as u32).to_le_bytes());
        bytes.extend(text.as_bytes());
    };
    put("Quintfall");
    let mut bytes = std::mem::take(&mut bytes);
    bytes.extend((rows.len() as u32).to_le_bytes());
    for row in rows {
        bytes.extend((row.len() as u32).to_le_bytes());
        bytes.extend(row.as_bytes());
    }
    bytes
}
