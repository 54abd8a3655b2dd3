//! Objects of a PDF as they are written (ISO 32000-1, 7.3), for files that are written piece by
//! piece and never held as a whole.

use std::io::{self, Write};

use lopdf::{Dictionary, Object};

/// Writes an object where it stands. Strings are written in figures, which need no escapes.
pub(crate) fn write(out: &mut impl Write, object: &Object) -> io::Result<()> {
    match object {
        Object::Null => out.write_all(b"null"),
        Object::Boolean(value) => write!(out, "{value}"),
        Object::Integer(value) => write!(out, "{value}"),
        Object::Real(value) => write!(out, "{value}"),
        Object::Name(bytes) => name(out, bytes),
        Object::String(bytes, _) => {
            out.write_all(b"<")?;
            bytes.iter().try_for_each(|byte| write!(out, "{byte:02X}"))?;
            out.write_all(b">")
        }
        Object::Array(items) => {
            out.write_all(b"[")?;
            for (index, item) in items.iter().enumerate() {
                if index > 0 {
                    out.write_all(b" ")?;
                }
                write(out, item)?;
            }
            out.write_all(b"]")
        }
        Object::Dictionary(entries) => dictionary(out, entries),
        Object::Stream(stream) => {
            dictionary(out, &stream.dict)?;
            out.write_all(b"stream\n")?;
            out.write_all(&stream.content)?;
            out.write_all(b"\nendstream")
        }
        Object::Reference((number, generation)) => write!(out, "{number} {generation} R"),
    }
}

fn dictionary(out: &mut impl Write, entries: &Dictionary) -> io::Result<()> {
    out.write_all(b"<<")?;
    for (key, value) in entries {
        name(out, key)?;
        out.write_all(b" ")?;
        write(out, value)?;
    }
    out.write_all(b">>")
}

/// A name, with figures for all but plain characters.
fn name(out: &mut impl Write, bytes: &[u8]) -> io::Result<()> {
    out.write_all(b"/")?;
    for byte in bytes {
        match byte {
            b'(' | b')' | b'<' | b'>' | b'[' | b']' | b'{' | b'}' | b'/' | b'%' | b'#' => {
                write!(out, "#{byte:02X}")?;
            }
            b'!'..=b'~' => out.write_all(&[*byte])?,
            _ => write!(out, "#{byte:02X}")?,
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use lopdf::{Stream, StringFormat};

    use super::*;

    fn written(object: impl Into<Object>) -> String {
        let mut out = Vec::new();
        write(&mut out, &object.into()).expect("memory takes it");
        String::from_utf8(out).expect("plain characters")
    }

    #[test]
    fn objects_are_written_as_the_standard_has_them() {
        assert_eq!(written(Object::Null), "null");
        assert_eq!(written(595.28_f32), "595.28");
        assert_eq!(written(Object::Name(b"A B#".to_vec())), "/A#20B#23");
        assert_eq!(written(Object::String(b"(\\".to_vec(), StringFormat::Literal)), "<285C>");
        let entries =
            Dictionary::from_iter([("Kids", Object::Array(vec![(7, 0).into(), 1.into()]))]);
        assert_eq!(written(entries.clone()), "<</Kids [7 0 R 1]>>");
        let stream = written(Stream::new(Dictionary::new(), b"q Q".to_vec()));
        assert_eq!(stream, "<</Length 3>>stream\nq Q\nendstream");
    }
}
