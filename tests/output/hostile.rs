//! Files that are built to be dear: read or refused, but never dear.

use std::io::Write as _;
use std::time::{Duration, Instant};

use flate2::Compression;
use flate2::write::ZlibEncoder;
use proptest::prelude::*;
use quintfall::output::{ReadBackError, recipe_json};
use quintfall::recipe::LARGEST_RECIPE;

/// What any file may take, with room for a slow machine and a program that was built to be
/// debugged: the budget itself is a second's worth of a program that was built to be used.
const LONGEST: Duration = Duration::from_secs(12);

fn flate(content: &[u8]) -> Vec<u8> {
    let mut encoder = ZlibEncoder::new(vec![], Compression::best());
    encoder.write_all(content).expect("memory");
    encoder.finish().expect("memory")
}

/// A file with these objects, from front to back.
fn file(objects: &[Vec<u8>]) -> Vec<u8> {
    let mut file = b"%PDF-1.7\n".to_vec();
    for (index, object) in objects.iter().enumerate() {
        file.extend(format!("\n{} 0 obj", index + 1).into_bytes());
        file.extend(object);
        file.extend(b"\nendobj");
    }
    file.extend(b"\ntrailer<</Size 1>>startxref\n0\n%%EOF");
    file
}

/// A stream with these entries in its dictionary.
fn stream(entries: &str, content: &[u8]) -> Vec<u8> {
    let length = content.len();
    let mut object = format!("<<{entries}/Length {length}>>stream\n").into_bytes();
    object.extend(content);
    object.extend(b"\nendstream");
    object
}

/// A packed list of objects with an index of its own.
fn list(index: &str, objects: &[u8]) -> Vec<u8> {
    let first = index.len();
    let content = [index.as_bytes(), objects].concat();
    stream(&format!("/Type/ObjStm/First {first}/Filter/FlateDecode"), &flate(&content))
}

/// The entry of the recipe whose stream has a number.
fn entry(number: usize) -> Vec<u8> {
    format!("<</F(recipe.json)/EF<</F {number} 0 R>>>>").into_bytes()
}

#[track_caller]
fn read(name: &str, file: &[u8]) -> Result<String, ReadBackError> {
    let start = Instant::now();
    let found = recipe_json(file);
    let took = start.elapsed();
    assert!(took < LONGEST, "{name}: {} bytes took {took:?}", file.len());
    found
}

/// A block of deflate that has tables of codes and nothing else; `last` ends the stream.
///
/// RFC 1951, 3.2.7: 257 literals and 1 distance, whose lengths are told by the lengths of lengths.
fn empty_blocks(count: usize) -> Vec<u8> {
    let (mut bytes, mut bit) = (vec![0x78, 0x9c, 0], 0);
    let mut put = |value: u32, bits: u32| {
        for place in 0..bits {
            if bit == 8 {
                bytes.push(0);
                bit = 0;
            }
            *bytes.last_mut().expect("begun") |= ((value >> place & 1) as u8) << bit;
            bit += 1;
        }
    };
    for index in 0..count {
        put(u32::from(index + 1 == count), 1);
        put(2, 2);
        put(0, 5);
        put(0, 5);
        // Lengths of 18 codes in their odd order; those of 18 and of 1 are one bit long.
        put(14, 4);
        for place in 0..18 {
            put(u32::from(place == 2 || place == 17), 3);
        }
        // 18 is `1` and 1 is `0`: 256 times none in two runs, then one for the end and a distance.
        put(1, 1);
        put(138 - 11, 7);
        put(1, 1);
        put(118 - 11, 7);
        put(0, 1);
        put(0, 1);
        // The end of the block.
        put(0, 1);
    }
    // The sum of no bytes (RFC 1950, 2.2).
    bytes.extend([0, 0, 0, 1]);
    bytes
}

#[test]
fn offsets_that_run_to_and_fro_are_cheap() {
    let small = file(&[list(&"0 0 0 65536 ".repeat(20_000), &[b'('; 1 << 20])]);
    assert!(small.len() < 4000, "{}", small.len());
    assert_eq!(read("to and fro", &small), Err(ReadBackError::NoRecipe));
    // What comes in order is still read.
    let objects = [b"[1 2] ".to_vec(), entry(2)].concat();
    let sound = file(&[list("7 0 8 6 ", &objects), stream("", b"{}")]);
    assert_eq!(read("in order", &sound), Ok("{}".into()));
}

#[test]
fn texts_without_end_are_refused_by_their_cost() {
    for start in ["1 0 obj<", "1 0 obj(", "1 0 obj%"] {
        let many = ["%PDF-1.7\n", &start.repeat((8 << 20) / start.len())].concat();
        assert_eq!(read(start, many.as_bytes()), Err(ReadBackError::TooInvolved), "{start}");
    }
}

#[test]
fn unpacking_in_vain_is_paid_for() {
    let bomb = vec![b' '; 64 << 20];
    let bomb = stream("/Type/ObjStm/First 1/Filter/FlateDecode", &flate(&bomb));
    assert_eq!(read("bombs", &file(&vec![bomb; 200])), Err(ReadBackError::TooInvolved));
    let empty = stream("/Type/ObjStm/First 1/Filter/FlateDecode", &empty_blocks(1));
    assert_eq!(read("small ones", &file(&vec![empty; 200_000])), Err(ReadBackError::TooInvolved));
    let blocks = stream("/Filter/FlateDecode", &empty_blocks(3_000_000));
    let found = read("blocks", &file(&[entry(2), blocks]));
    assert_eq!(found, Err(ReadBackError::TooInvolved));
    // They are what they should be: few of them unpack to nothing, which is no JSON.
    let few = file(&[entry(2), stream("/Filter/FlateDecode", &empty_blocks(3))]);
    assert_eq!(read("few", &few), Err(ReadBackError::NotJson { line: 1, column: 0 }));
}

#[test]
fn objects_upon_objects_are_refused_by_their_cost() {
    let mut words = b"%PDF-1.7\n".to_vec();
    words.extend(b"1 0 obj".repeat(6 << 20));
    assert_eq!(read("words", &words), Err(ReadBackError::TooInvolved));
    let streams = b"1 0 obj<<>>stream\nendstream\n".repeat(2 << 20);
    let streams = [b"%PDF-1.7\n", &streams[..]].concat();
    assert!(read("streams", &streams).is_err());
}

#[test]
fn the_largest_sheet_that_could_be_ours_is_read() {
    let mut seed = 1_u32;
    let mut noise = |length: usize, signs: &[u8]| -> Vec<u8> {
        let next = || {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            signs[(seed >> 16) as usize % signs.len()]
        };
        std::iter::repeat_with(next).take(length).collect()
    };
    let signs: Vec<u8> = (b'A'..=b'Z').chain(b'a'..=b'z').chain(b'0'..=b'9').collect();
    let recipe = [b"\"", &noise(LARGEST_RECIPE - 2, &signs)[..], b"\""].concat();
    let picture = stream("", &noise(3 * 4096 * 4096, &signs));
    let recipe_stream = stream("/Filter/FlateDecode", &flate(&recipe));
    // As many objects as an eighth of the file can hold, each by itself and packed in lists.
    let small = b"<</Type/Annot/Rect[0 0 1.25 2.5]/Dest[3 0 R/XYZ 0 0 null]/P 4 0 R>>".to_vec();
    let packed = list("9 0 ", &small.repeat(40_000));
    let mut objects = vec![entry(2), recipe_stream, picture, packed];
    objects.resize(40_000, small);
    let file = file(&objects);
    assert!((60 << 20..64 << 20).contains(&file.len()), "{}", file.len());
    let found = read("large", &file).expect("read");
    assert!(found.into_bytes() == recipe);
}

/// Pieces of PDF, sound and broken, that repeat.
fn piece() -> impl Strategy<Value = Vec<u8>> {
    let word = prop::sample::select(vec![
        "1 0 obj",
        "2 0 obj",
        "endobj",
        "stream\n",
        "\nendstream",
        "<<",
        ">>",
        "[",
        "]",
        "(",
        ")",
        "<",
        "%",
        "\n",
        "/F(recipe.json)",
        "/EF<</F 2 0 R>>",
        "/Type/ObjStm",
        "/First 8",
        "/Filter/FlateDecode",
        "/Length 9",
        "/A#41",
        "12 0 R",
        "\\",
        "trailer",
        "<41",
        " ",
    ]);
    let words = prop::collection::vec(word, 1..12).prop_map(|words| words.concat().into_bytes());
    let bytes = prop::collection::vec(any::<u8>(), 0..40);
    let packed = (prop::collection::vec(0..64_usize, 0..40), 0..200_000_usize, any::<u8>())
        .prop_map(|(offsets, length, byte)| {
            let index: String =
                offsets.iter().enumerate().map(|(n, at)| format!("{n} {at} ")).collect();
            [b"3 0 obj".to_vec(), list(&index, &vec![byte; length])].concat()
        });
    let one = prop_oneof![4 => words, 1 => bytes, 1 => packed];
    (one, prop_oneof![3 => 1..4_usize, 1 => 1..20_000_usize])
        .prop_map(|(piece, times)| piece.repeat(times.min((1 << 20) / piece.len().max(1)).max(1)))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn no_file_takes_more_than_its_budget(pieces in prop::collection::vec(piece(), 1..30)) {
        let file = [b"%PDF-1.7\n", &pieces.concat()[..]].concat();
        // Whatever is found, it is found in time.
        let _ = read("any", &file);
    }
}
