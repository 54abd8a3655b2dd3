//! Every route with what it gives and what it refuses.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use hyper::header::{CONTENT_LENGTH, CONTENT_TYPE, HOST, ORIGIN};
use serde_json::json;

use super::*;
use crate::desk::show::memory::Memory;
use crate::recipe::fields::FIELDS;
use crate::window::door::Door;
use crate::window::lately::Lately;

mod played;

/// The answer with its whole body, as it arrives.
fn answer(state: &WindowState, request: Request<Bytes>) -> Response<Bytes> {
    super::answer(state, request).map(arrived)
}

fn arrived(content: ReplyContent) -> Bytes {
    match content {
        ReplyContent::Whole(bytes) => bytes,
        ReplyContent::File(mut file, length) => {
            let mut bytes = Vec::new();
            std::io::Read::read_to_end(&mut file, &mut bytes).unwrap();
            assert_eq!(bytes.len() as u64, length);
            bytes.into()
        }
    }
}

const OWN: &str = "127.0.0.1:4000";

struct Desk {
    state: WindowState,
    folder: tempfile::TempDir,
}

impl Desk {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let memory = Memory::at(folder.path().join("desk.json"));
        let [token, code] =
            ["00112233445566778899aabbccddeeff", "ffeeddccbbaa99887766554433221100"];
        let door = Door::with(token.to_owned(), code.to_owned());
        Self { state: WindowState { door, port: 4000, memory, lately: Lately::default() }, folder }
    }

    /// A request as the page makes it.
    fn request(&self, method: Method, path: &str, body: impl Into<Bytes>) -> Request<Bytes> {
        let request = Request::builder().method(method).uri(path).header(HOST, OWN);
        let request = request.header(ORIGIN, format!("http://{OWN}"));
        let request = request.header("sec-fetch-site", "same-origin");
        let request = request.header("x-token", &*self.state.door.token);
        request.header(CONTENT_TYPE, "application/json").body(body.into()).unwrap()
    }

    fn get(&self, path: &str) -> Response<Bytes> {
        answer(&self.state, self.request(Method::GET, path, ""))
    }

    fn post(&self, path: &str, asked: &Value) -> Response<Bytes> {
        answer(&self.state, self.request(Method::POST, path, asked.to_string()))
    }

    /// What is given, which must be something.
    fn good(&self, path: &str, asked: &Value) -> Value {
        let response = self.post(path, asked);
        let body = String::from_utf8_lossy(response.body()).into_owned();
        assert_eq!(response.status(), StatusCode::OK, "{path}: {body}");
        let given: Value = serde_json::from_str(&body).unwrap();
        assert!(given.get("refused").is_none(), "{path}: {body}");
        given
    }

    /// What is refused: field and words of each fault.
    fn faults(&self, path: &str, asked: &Value) -> Vec<(String, String)> {
        let response = self.post(path, asked);
        assert_eq!(response.status(), StatusCode::OK, "{path}");
        let body: Value = serde_json::from_slice(response.body()).unwrap();
        let text = |fault: &Value, name: &str| fault[name].as_str().unwrap_or("").to_owned();
        let faults = body["refused"].as_array().unwrap();
        faults.iter().map(|fault| (text(fault, "field"), text(fault, "words"))).collect()
    }
}

fn handout(more: &Value) -> Value {
    let mut choices = json!({ "form": "handout", "keys": ["C"] });
    for (name, value) in more.as_object().unwrap() {
        choices[name] = value.clone();
    }
    json!({ "choices": choices })
}

#[test]
fn every_piece_of_the_page_is_there_and_says_what_it_may_load() {
    let desk = Desk::new();
    for (path, _) in PIECES.iter().chain(FACES) {
        let response = desk.get(path);
        assert_eq!(response.status(), StatusCode::OK, "{path}");
        assert!(!response.body().is_empty(), "{path}");
        let policy = response.headers()["content-security-policy"].to_str().unwrap();
        assert!(policy.starts_with("default-src 'none'"), "{policy}");
        assert_eq!(response.headers()["cache-control"], "no-store");
    }
}

/// Whatever a piece names with quotation marks and a slash is a piece or a route.
#[test]
fn the_pieces_name_nothing_that_is_not_there() {
    let mut named = 0;
    for (path, piece) in PIECES {
        let PageFile::Words(_, words) = piece else { continue };
        for quoted in words.split(['"', '`']).skip(1).step_by(2) {
            let file = quoted.strip_prefix('.').unwrap_or(quoted);
            let is_file = file.starts_with('/') && file.len() > 1 && !file.contains(['$', ' ']);
            if is_file {
                named += 1;
                let is_there = super::piece(file).is_some() || route(file).is_some();
                assert!(is_there, "{path} names {quoted}");
            }
        }
        assert!(!words.contains("http:") || *path == "/", "{path} leads elsewhere");
        assert!(!words.contains("https:"), "{path} leads elsewhere");
    }
    assert!(named > 20, "{named}");
}

/// Each line of the guard, by what a stranger would change.
#[test]
fn strangers_are_refused() {
    let desk = Desk::new();
    type Spoil = fn(&mut Request<Bytes>);
    fn put(request: &mut Request<Bytes>, name: &'static str, value: &'static str) {
        request.headers_mut().insert(name, value.parse().unwrap());
    }
    let cases: &[(&str, u16, Spoil)] = &[
        ("no host", 421, |it| drop(it.headers_mut().remove(HOST))),
        ("two hosts", 421, |it| _ = it.headers_mut().append(HOST, OWN.parse().unwrap())),
        ("another name", 421, |it| put(it, "host", "example.org:4000")),
        ("a name that ends so", 421, |it| put(it, "host", "x127.0.0.1:4000")),
        ("a name that begins so", 421, |it| put(it, "host", "127.0.0.1:4000.example.org")),
        ("no port", 421, |it| put(it, "host", "127.0.0.1")),
        ("another port", 421, |it| put(it, "host", "127.0.0.1:4001")),
        ("a proxy's form", 421, |it| {
            *it.uri_mut() = "http://127.0.0.1:4000/sheet".parse().unwrap();
        }),
        ("another origin", 403, |it| put(it, "origin", "http://example.org")),
        ("another port's origin", 403, |it| put(it, "origin", "http://127.0.0.1:4001")),
        ("no origin to speak of", 403, |it| put(it, "origin", "null")),
        ("a safe origin that is none of ours", 403, |it| {
            put(it, "origin", "https://127.0.0.1:4000");
        }),
        ("from another site", 403, |it| put(it, "sec-fetch-site", "cross-site")),
        ("from another port", 403, |it| put(it, "sec-fetch-site", "same-site")),
        ("from the address bar", 403, |it| put(it, "sec-fetch-site", "none")),
        ("no token", 401, |it| drop(it.headers_mut().remove("x-token"))),
        ("another token", 401, |it| put(it, "x-token", "00112233445566778899aabbccddeef0")),
        ("part of the token", 401, |it| put(it, "x-token", "0011")),
        ("an empty token", 401, |it| put(it, "x-token", "")),
        ("a form", 415, |it| put(it, "content-type", "application/x-www-form-urlencoded")),
        ("plain text", 415, |it| put(it, "content-type", "text/plain")),
        ("no type", 415, |it| drop(it.headers_mut().remove(CONTENT_TYPE))),
        ("a question first", 405, |it| *it.method_mut() = Method::OPTIONS),
        ("another method", 405, |it| *it.method_mut() = Method::PUT),
        ("a large head", 431, |it| {
            drop(it.headers_mut().insert("x-long", "x".repeat(40_000).parse().unwrap()));
        }),
        ("a large claim", 413, |it| {
            drop(it.headers_mut().insert(CONTENT_LENGTH, 1_000_000_000.into()));
        }),
    ];
    for route in ROUTES {
        for (what, status, spoil) in cases {
            let mut request = desk.request(Method::POST, route.path, "{}");
            spoil(&mut request);
            let response = answer(&desk.state, request);
            assert_eq!(response.status().as_u16(), *status, "{}: {what}", route.path);
            assert!(response.headers().contains_key("content-security-policy"));
            assert!(response.body().len() < 300);
        }
        let status = |method, body: String| {
            answer(&desk.state, desk.request(method, route.path, body)).status().as_u16()
        };
        assert_eq!(status(Method::GET, String::new()), 405, "{}", route.path);
        assert_eq!(status(Method::POST, "[1".to_owned()), 400, "{}", route.path);
        assert_eq!(status(Method::POST, "[]".to_owned()), 400, "{}", route.path);
        let large = " ".repeat(usize::try_from(route.limit).unwrap() + 1);
        assert_eq!(status(Method::POST, large), 413, "{}", route.path);
    }
    // The page itself is for anybody who knows the address, and for nobody else.
    let mut request = desk.request(Method::GET, "/", "");
    request.headers_mut().remove("x-token");
    put(&mut request, "sec-fetch-site", "none");
    request.headers_mut().remove(ORIGIN);
    assert_eq!(answer(&desk.state, request).status(), StatusCode::OK);
    assert_eq!(desk.get("/../Cargo.toml").status(), StatusCode::NOT_FOUND);
    assert_eq!(desk.post("/nowhere", &json!({})).status(), StatusCode::NOT_FOUND);
    assert_eq!(desk.post("/style.css", &json!({})).status(), StatusCode::METHOD_NOT_ALLOWED);
}

/// Whatever JSON comes, it is answered in words, and nothing falls over.
#[test]
fn odd_requests_are_answered() {
    let desk = Desk::new();
    let odd = [
        json!({}),
        json!({ "choices": 1, "text": [], "name": {}, "page": -1, "row": "x", "data": 5 }),
        json!({ "choices": { "keys": [["C"]], "course": [{ "drill": 1 }] }, "text": "\u{0}" }),
        json!({ "choices": { "form": "handout", "keys": ["C"], "template": "[[passage]" } }),
        json!({ "choices": { "form": "review", "keys": ["C"] }, "page": 1e300 }),
        json!({ "name": "../../x.toml", "data": STANDARD.encode("extends = \"/etc/passwd\"") }),
        json!({ "name": "x.pdf", "data": STANDARD.encode("%PDF-1.7 nothing") }),
        json!({ "name": "x", "data": "!", "text": "name\nA\n", "change": { "row": 9, "head": "x" } }),
        json!({ "text": "name,tempo\nA,\"", "faster": 70000, "row": 12, "date": "soon" }),
        json!({ "track": { "with": 5, "as": [], "x": {} }, "look": { "key": 1, "for": {} } }),
        json!({ "text": "title = 1", "track": { "as": "ogg" }, "look": { "y": "z" }, "as": 7 }),
        json!({ "text": "name = \"x\"", "state": { "a": [null] } }),
    ];
    for route in ROUTES {
        for asked in &odd {
            let response = desk.post(route.path, asked);
            // Without the code nobody comes in, whatever else is said.
            let status =
                if route.path == BEGIN { StatusCode::UNAUTHORIZED } else { StatusCode::OK };
            assert_eq!(response.status(), status, "{} {asked}", route.path);
            let body = serde_json::from_slice(response.body()).unwrap_or(Value::Null);
            if let Some(faults) = body.get("refused").and_then(Value::as_array) {
                assert!(faults.iter().all(|one| one["words"].as_str().unwrap().len() > 10));
                assert!(!faults.is_empty());
            }
        }
    }
}

#[test]
fn all_that_can_be_chosen_is_told() {
    let known = Desk::new().good("/choices", &json!({}));
    let fields = known["fields"].as_array().unwrap();
    assert_eq!(fields.len(), FIELDS.len());
    for (told, row) in fields.iter().zip(&FIELDS) {
        assert_eq!(told["name"], row.field.name());
        assert!(row.help.is_empty() || told["asked"] == true, "{}", row.field);
    }
    assert_eq!(known["drills"].as_array().unwrap().len(), crate::drill::library::all().count());
    for names in ["customary", "sharps", "flats"] {
        assert_eq!(known["round"][names].as_array().unwrap().len(), 12);
    }
    assert_eq!(known["remembered"], Value::Null);
}

#[test]
fn a_sheet_is_drawn_with_its_words() {
    let desk = Desk::new();
    let page = desk.good("/sheet", &handout(&json!({ "student": "<b>&\"Ada" })));
    let drawing = page["drawing"].as_str().unwrap();
    assert!(drawing.starts_with("<svg ") && drawing.contains("class=\"cut-music\""));
    assert!(drawing.contains("&lt;b&gt;&amp;&quot;Ada") && !drawing.contains("<b>"));
    // Nothing in it is styled or does anything by itself, which the policy would refuse.
    assert!(!drawing.contains("style=") && !drawing.contains("script"));
    let words: Vec<&str> =
        page["words"].as_array().unwrap().iter().map(|line| line.as_str().unwrap()).collect();
    assert!(
        words.iter().any(|line| line.starts_with("Chords in C major. bar 1: Cmaj7 Dm7")),
        "{words:?}"
    );
    assert!(words.iter().any(|line| line.contains("C major, bars 1 to 3")), "{words:?}");
    assert_eq!((page["page"].as_u64(), page["pages"].as_u64()), (Some(0), Some(1)));
    assert_eq!(page["made"]["tempo"], 80);
    assert_eq!(page["rungs"][0], 80);
}

#[test]
fn a_page_beyond_the_last_is_the_last() {
    let desk = Desk::new();
    let mut asked = handout(&json!({ "keys": ["C", "F", "Bb"], "keys-a-page": 1 }));
    asked["page"] = json!(99);
    let page = desk.good("/sheet", &asked);
    assert_eq!((page["page"].as_u64(), page["pages"].as_u64()), (Some(2), Some(3)));
    let words = page["words"].to_string();
    assert!(
        words.contains("Chords in B♭ major") && !words.contains("Chords in C major"),
        "{words}"
    );
}

/// Faults come as sentences at the field that they are about.
#[test]
fn faults_stand_at_their_fields() {
    let desk = Desk::new();
    for (more, field, words) in [
        (
            json!({ "tempo": "999" }),
            "tempo",
            "tempo 999 is out of range; write 20 to 400 beats a minute.",
        ),
        (json!({ "tempo": "quick" }), "tempo", "tempo is `quick`"),
        (json!({ "goal": "60" }), "goal", ""),
        (json!({ "keys": [] }), "keys", "a handout needs a key"),
        (json!({ "keys": ["H"] }), "keys", "unknown key `H`"),
        (json!({ "student": "\u{e000}" }), "student", "the text face cannot show"),
        (json!({ "watch": ["99"] }), "watch", "there is no bar 99 to watch"),
        (json!({ "keys-a-page": "12", "keys": ["C", "F"] }), "keys-a-page", ""),
        (
            json!({ "drill": "/etc/passwd" }),
            "drill",
            "drill is `/etc/passwd`, a file that is not here",
        ),
        (json!({ "drill": "mine.toml" }), "drill", "drill is `mine.toml`, a file that is not here"),
        (json!({ "drill": "" , "course": ["../x.toml"] }), "course", "drill is `../x.toml`"),
        (
            json!({ "logo": "/etc/hostname" }),
            "logo",
            "logo is `/etc/hostname`, a file that is not here",
        ),
        (json!({ "drill": "Cargo" }), "drill", "unknown drill `Cargo`; choose one of the list."),
        (
            json!({ "drill": "two five on in major" }),
            "drill",
            "unknown drill `two five on in major`; did you mean `Two-five-one in major`?",
        ),
    ] {
        let asked = handout(&more);
        for route in ["/sheet", "/pdf"] {
            let faults = desk.faults(route, &asked);
            assert!(
                faults.iter().any(|(at, said)| at == field && said.starts_with(words)),
                "{more}: {faults:?}"
            );
        }
    }
    let two = desk.faults("/sheet", &handout(&json!({ "tempo": "x", "paper": "b5" })));
    assert_eq!(two.len(), 2);
}

#[test]
fn a_line_of_music_is_shown_by_itself() {
    let desk = Desk::new();
    for (name, _) in crate::drill::library::all().step_by(7) {
        let line = desk.good("/line", &handout(&json!({ "drill": name })));
        assert!(line["drawing"].as_str().unwrap().contains("<text"), "{name}");
    }
}

/// A sheet that is handed in becomes the choices that make it again, to the byte.
#[test]
fn an_earlier_sheet_gives_its_choices_back() {
    let desk = Desk::new();
    let own = crate::drill::library::find("solid").unwrap().replace("\"solid\"", "\"mine\"");
    for more in [
        json!({ "keys": ["Db", "G minor"], "drill": "natural-minor", "keys": ["G minor"] }),
        json!({ "student": "Zoë", "note": "a\nb", "level": "beginner", "tempo": "66", "slip": true }),
        json!({ "drill": "mine", "template": own }),
        json!({ "form": "workbook", "drill": null, "course": ["solid", "pushed"], "order": "shuffled", "seed": "3" }),
        json!({ "leave-out": ["left"], "answers": true, "watch": ["2", "3"] }),
    ] {
        let asked = handout(&more);
        let first = desk.post("/pdf", &asked);
        assert_eq!(first.status(), StatusCode::OK, "{more}");
        let data = STANDARD.encode(first.body());
        let opened = desk.good("/open", &json!({ "name": "sheet.pdf", "data": data }));
        assert_eq!(opened["kind"], "sheet");
        let again = desk.post("/pdf", &json!({ "choices": opened["choices"] }));
        assert!(first.body() == again.body(), "{more}");
        // So does the recipe.
        let text = desk.good("/recipe", &asked)["text"].as_str().unwrap().to_owned();
        let opened =
            desk.good("/open", &json!({ "name": "x.toml", "data": STANDARD.encode(text) }));
        let again = desk.post("/pdf", &json!({ "choices": opened["choices"] }));
        assert!(first.body() == again.body(), "{more}");
    }
}

#[test]
fn what_is_handed_in_is_told_for_what_it_is() {
    let desk = Desk::new();
    let open = |name: &str, text: &str| {
        desk.good("/open", &json!({ "name": name, "data": STANDARD.encode(text) }))
    };
    assert_eq!(open("a.toml", "tempo = 60")["choices"]["tempo"], 60);
    assert_eq!(open("a.toml", crate::drill::library::find("pushed").unwrap())["kind"], "drill");
    assert_eq!(open("a.csv", "name,keys\nAda,C\n")["kind"], "class");
    assert_eq!(open("a.toml", "[[student]]\nname = \"Ada\"\n")["kind"], "class");
    for (name, bytes, words) in [
        ("a.png", &b"\x89PNG\r\n\x1a\n\0\0"[..], "a.png is no sheet"),
        ("a.xlsx", b"PK\x03\x04", "a.xlsx is no sheet"),
        ("a.pdf", b"%PDF-1.4", ""),
        ("a.toml", b"tempo = ", ""),
        ("a.toml", b"extends = \"b.toml\"", "it extends a recipe in another file"),
        ("a.toml", b"tempo = 999", "tempo 999 is out of range"),
        ("a.csv", b"", "a.csv is empty"),
        // A text of another kind is no list, so that it takes the place of none.
        ("a.txt", b"Bring the blue book.\n", "a.txt is no sheet"),
        ("a.musicxml", b"<?xml version=\"1.0\"?>\n<score-partwise/>\n", "a.musicxml is no sheet"),
        ("a.mid", b"MThd\0\0\0\x06", "a.mid is no sheet"),
    ] {
        let asked = json!({ "name": name, "data": STANDARD.encode(bytes) });
        let faults = desk.faults("/open", &asked);
        assert!(faults[0].1.starts_with(words), "{name}: {faults:?}");
    }
}

const FIVE: &str = "name;keys;tempo;goal;phone;went-well\r\nAda;C;60;90;1;yes\r\nBo;F;70;;2;\r\n\
                    \"Cy; jr\";Bb;80;84;3;yes\r\nDi;Eb;90;;4;no\r\nEd;Ab;100;;5;\r\n";

#[test]
fn a_class_is_a_table_whose_cells_can_be_changed() {
    let desk = Desk::new();
    let asked = |more: &Value| {
        let mut asked = json!({ "name": "five.csv", "text": FIVE });
        for (name, value) in more.as_object().unwrap() {
            asked[name] = value.clone();
        }
        asked
    };
    let table = desk.good("/class", &asked(&json!({})));
    assert_eq!(table["heads"], json!(["name", "keys", "tempo", "goal", "went-well"]));
    assert_eq!(table["rows"][2]["cells"], json!(["Cy; jr", "Bb", "80", "84", "yes"]));
    assert_eq!(table["faults"], json!([]));
    assert_eq!(table["text"], FIVE);
    // One cell, and nothing else.
    let change = json!({ "change": { "row": 1, "head": "tempo", "words": "720" } });
    let table = desk.good("/class", &asked(&change));
    assert_eq!(table["text"], FIVE.replace(";70;", ";720;"));
    let fault = &table["faults"][0];
    assert_eq!((&fault["row"], &fault["head"]), (&json!(1), &json!("tempo")));
    assert!(fault["words"].as_str().unwrap().starts_with("tempo 720 is out of range"), "{fault}");
    assert_eq!(table["rows"][1]["sheet"], Value::Null);
    let change = json!({ "change": { "row": 0, "head": "name", "words": "A;\"b" } });
    let table = desk.good("/class", &asked(&change));
    assert_eq!(table["rows"][0]["cells"][0], "A;\"b");
    let table = desk.good("/class", &asked(&json!({ "change": { "student": "Flo" } })));
    assert_eq!(table["rows"][5]["cells"][0], "Flo");
    assert_eq!(table["text"].as_str().unwrap(), format!("{FIVE}Flo;;;;;\r\n"));
    let refused =
        desk.faults("/class", &asked(&json!({ "change": { "row": 0, "head": "phone" } })));
    assert!(refused[0].1.starts_with("the row has no cell phone"), "{refused:?}");
    // One student less, wherever in the list, and nothing else.
    for (row, line) in FIVE.split_inclusive("\r\n").skip(1).enumerate() {
        let change = json!({ "change": { "without": row } });
        let table = desk.good("/class", &asked(&change));
        assert_eq!(table["text"], FIVE.replace(line, ""), "{row}");
        assert_eq!(table["rows"].as_array().unwrap().len(), 4);
    }
    let refused = desk.faults("/class", &asked(&json!({ "change": { "without": 5 } })));
    assert!(refused[0].1.starts_with("the student cannot be taken out here"), "{refused:?}");
    // A student's sheet, and no other's.
    let sheet = desk.good("/class/sheet", &asked(&json!({ "row": 3 })));
    assert!(sheet["drawing"].as_str().unwrap().contains(">Di<"));
    let pdf = desk.post("/class/pdf", &asked(&json!({ "row": 3 })));
    assert!(pdf.body().starts_with(b"%PDF"));
    // Next week's list.
    let next = desk.good("/class/next", &asked(&json!({ "faster": 8 })));
    let faster = FIVE.replace("C;60", "C;68").replace("Bb;80", "Bb;84");
    let unsaid = faster.replace(";yes\r", ";\r").replace(";no\r", ";\r");
    assert_eq!(next["text"], unsaid, "nothing is said yet of how next week goes");
    let refused = desk.faults("/class/next", &asked(&json!({ "faster": 0 })));
    assert!(refused[0].1.contains("from 1 to 100"));
}

#[test]
fn everybodys_sheets_come_in_one_file_or_not_at_all() {
    let desk = Desk::new();
    let made = desk.post("/class/all", &json!({ "name": "five.csv", "text": FIVE }));
    assert_eq!(made.status(), StatusCode::OK);
    assert!(made.body().starts_with(b"PK\x03\x04"));
    let names = String::from_utf8_lossy(made.body());
    for name in ["Ada/", "Cy-jr/", "Ed/", "five-overview.pdf", "five-to-print.pdf"] {
        assert!(names.contains(name), "{name}");
    }
    let wrong = FIVE.replace(";70;", ";7;").replace("Eb;90", "H;90");
    let faults = desk.faults("/class/all", &json!({ "name": "five.csv", "text": wrong }));
    assert_eq!(faults.len(), 2, "{faults:?}");
    // The others can be had all the same.
    let asked = json!({ "name": "five.csv", "text": wrong, "rest": true });
    let made = desk.post("/class/all", &asked);
    let names = String::from_utf8_lossy(made.body());
    assert!(names.contains("Ada/") && !names.contains("Bo/") && !names.contains("Di/"));
    // A file that a list names is not opened.
    let path = "name,drill,keys\nAda,/etc/passwd.toml,C\n";
    let table = desk.good("/class", &json!({ "text": path }));
    assert!(
        table["faults"][0]["words"].as_str().unwrap().contains("a file that is not here"),
        "{table}"
    );
}

#[test]
fn a_drill_of_ones_own_is_judged_line_by_line() {
    let desk = Desk::new();
    let text = desk.good("/drill/library", &json!({ "name": "on-the-beat" }))["text"].clone();
    let text = text.as_str().unwrap();
    let mine = text.replace("\"on-the-beat\"", "\"mine\"");
    let judged = desk.good("/drill", &json!({ "text": mine }));
    assert_eq!(judged["faults"], json!([]));
    assert_eq!(judged["name"], "mine");
    assert_eq!(judged["pages"].as_array().unwrap().len(), 2);
    assert_ne!(judged["keys"][1], "C");
    let wrong = mine.replace("metre = \"4/4\"", "metre = \"4/5\"");
    let line = wrong.lines().position(|line| line.contains("4/5")).unwrap() + 1;
    let judged = desk.good("/drill", &json!({ "text": wrong }));
    assert_eq!(judged["faults"][0]["line"], line);
    assert!(judged["pages"].is_null());
    assert_eq!(desk.faults("/drill/library", &json!({ "name": "no" })).len(), 1);
}

#[test]
fn what_was_chosen_last_is_there_again_and_what_is_spoilt_is_told() {
    let desk = Desk::new();
    let state = json!({ "choices": { "tempo": "72" } });
    desk.good("/keep", &json!({ "state": state }));
    assert_eq!(desk.good("/choices", &json!({}))["remembered"], state);
    std::fs::write(desk.folder.path().join("desk.json"), "{").unwrap();
    let known = desk.good("/choices", &json!({}));
    assert_eq!(known["remembered"], Value::Null);
    assert!(known["lost"].as_str().unwrap().starts_with("what was chosen last time is lost"));
    desk.good("/keep", &json!({ "state": state }));
    assert_eq!(desk.good("/choices", &json!({}))["remembered"], state);
}

/// A cell names drills as the page shows them, those of one's own too, and what cannot be made is told
/// of the students whom it concerns.
#[test]
fn a_class_knows_drills_by_their_titles_and_those_of_ones_own() {
    let desk = Desk::new();
    let text = desk.good("/drill/library", &json!({ "name": "on-the-beat" }))["text"].clone();
    let mine = text.as_str().unwrap().replace("\"on-the-beat\"", "\"my-own\"");
    let mine =
        mine.replacen("title = \"Diatonic sevenths, on the beat\"", "title = \"Dusk, again\"", 1);
    let list = "name,drill,keys\nAda,\"Diatonic sevenths, solid\",C\nBo,\"dusk, again\",F\nCy,my-own.toml,G\n";
    let asked = json!({ "name": "a.csv", "text": list, "own": [mine] });
    let table = desk.good("/class", &asked);
    assert_eq!(table["faults"], json!([]));
    let names: Vec<&str> =
        (0..3).map(|row| table["rows"][row]["sheet"]["name"].as_str().unwrap()).collect();
    assert_eq!(
        names,
        ["handout-solid-C-Ada-80.pdf", "handout-my-own-F-Bo-80.pdf", "handout-my-own-G-Cy-80.pdf"]
    );
    let mut of_bo = asked.clone();
    of_bo["row"] = json!(1);
    let sheet = desk.good("/class/sheet", &of_bo);
    assert!(sheet["drawing"].as_str().unwrap().contains("Dusk, again"));
    // The sheet is that of the same choices.
    let choices = json!({ "form": "handout", "keys": ["F"], "student": "Bo", "drill": "my-own", "template": mine });
    let own = desk.post("/pdf", &json!({ "choices": choices }));
    assert_eq!(desk.post("/class/pdf", &of_bo).body(), own.body());
    // Without it, nobody knows of it; what is wrong stands at its cell, whatever is asked for.
    let asked = json!({ "name": "a.csv", "text": list });
    for path in ["/class", "/class/all"] {
        let given: Value = serde_json::from_slice(desk.post(path, &asked).body()).unwrap();
        let faults = given.get("refused").unwrap_or(&given["faults"]);
        assert_eq!((&faults[0]["row"], &faults[0]["head"]), (&json!(1), &json!("drill")), "{path}");
        assert!(
            faults[0]["words"].as_str().unwrap().ends_with("choose one of the list."),
            "{faults}"
        );
    }
    let keys = json!({ "name": "a.csv", "text": "name,keys\nAda,\n" });
    let wrong = &desk.good("/class", &keys)["faults"][0]["words"];
    assert_eq!(wrong, "a handout needs a key; write Eb in the column keys.");
}
