//! The metadata packet: title, author and language for programs that know XMP (ISO 16684-1).

use crate::canvas::About;
use crate::output::PRODUCER;

/// The packet of a document, as UTF-8. It tells no time: the same document, the same bytes.
pub(crate) fn packet(about: &About) -> Vec<u8> {
    let title = escape(&about.title);
    let language = escape(&about.language);
    let author = about.author.as_deref().map(escape).map_or(String::new(), |author| {
        format!("<dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>\n")
    });
    let packet = format!(
        "<?xpacket begin=\"\u{FEFF}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
         <x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n\
         <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n\
         <rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\" \
         xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\" xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\">\n\
         <dc:format>application/pdf</dc:format>\n\
         <dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">{title}</rdf:li></rdf:Alt></dc:title>\n\
         {author}\
         <dc:language><rdf:Bag><rdf:li>{language}</rdf:li></rdf:Bag></dc:language>\n\
         <pdf:Producer>{PRODUCER}</pdf:Producer>\n\
         <xmp:CreatorTool>Quintfall</xmp:CreatorTool>\n\
         </rdf:Description>\n</rdf:RDF>\n</x:xmpmeta>\n\
         <?xpacket end=\"r\"?>"
    );
    packet.into_bytes()
}

/// Text for XML 1.0; characters that XML cannot hold are left out.
fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => escaped += "&amp;",
            '<' => escaped += "&lt;",
            '>' => escaped += "&gt;",
            '\u{0}'..='\u{8}'
            | '\u{B}'
            | '\u{C}'
            | '\u{E}'..='\u{1F}'
            | '\u{FFFE}'
            | '\u{FFFF}' => {}
            _ => escaped.push(character),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::escape;

    #[test]
    fn nothing_in_a_title_can_break_the_packet() {
        assert_eq!(escape("A & B <li> ♭\u{1}\n"), "A &amp; B &lt;li&gt; ♭\n");
    }
}
