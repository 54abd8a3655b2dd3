//! Charts, notes, tracks, and the code that opens the page.

use super::*;
use crate::desk::show::chart::library;

const WRONG: &str = "title = \"x\"\nmetre = \"4/4\"\n\n[[section]]\nname = \"A\"\nbars = \"\"\"\n| Dm7 | H7 |\n\"\"\"\n";

fn tune() -> String {
    let [_, _, text] = library().swap_remove(0);
    text
}

#[test]
fn the_charts_that_come_along_are_there_to_begin_with() {
    let given = Desk::new().good("/tune/library", &json!({}));
    let charts = given["charts"].as_array().unwrap();
    assert_eq!(charts.len(), library().len());
    assert!(charts.len() >= 10);
}

#[test]
fn a_chart_is_drawn_and_told_as_it_is_typed() {
    let desk = Desk::new();
    let given = desk.good("/tune", &json!({ "text": tune() }));
    assert_eq!(given["faults"], json!([]));
    assert!(given["drawing"].as_str().unwrap().starts_with("<svg"));
    assert!(given["told"]["home"].as_str().unwrap().starts_with("Home is "));
    for list in ["areas", "chords"] {
        assert!(!given["told"][list].as_array().unwrap().is_empty(), "{list}");
    }
    let look = json!({ "key": "D", "for": "Bb", "paper": "letter" });
    let moved = desk.good("/tune", &json!({ "text": tune(), "look": look }));
    assert_ne!(moved["drawing"], given["drawing"]);
    assert!(moved["name"].as_str().unwrap().contains("-D-for-Bb"), "{}", moved["name"]);
    assert!(moved["about"].as_str().unwrap().contains("Letter"));
}

#[test]
fn what_is_wrong_with_a_chart_is_told_at_its_line_and_with_a_choice_at_that() {
    let desk = Desk::new();
    let wrong = desk.good("/tune", &json!({ "text": WRONG }));
    let faults = wrong["faults"].as_array().unwrap();
    assert!(faults.iter().any(|fault| fault["line"] == 7), "{faults:?}");
    let wrong = desk.good("/tune", &json!({ "text": tune(), "look": { "paper": "b5" } }));
    assert_eq!(wrong["faults"][0]["place"], "paper");
    for text in ["", "=", "\u{0}", "[[section]]"] {
        let wrong = desk.good("/tune", &json!({ "text": text }));
        assert!(!wrong["faults"].as_array().unwrap().is_empty(), "{text:?}");
        assert!(!desk.faults("/tune/pdf", &json!({ "text": text })).is_empty(), "{text:?}");
    }
}

#[test]
fn the_sheet_of_a_chart_opens_as_what_it_was_made_of() {
    let desk = Desk::new();
    let look = json!({ "key": "D", "for": "Eb" });
    let sheet = desk.post("/tune/pdf", &json!({ "text": tune(), "look": look }));
    assert!(sheet.body().starts_with(b"%PDF"));
    let open = |name: &str, bytes: &[u8]| {
        desk.good("/open", &json!({ "name": name, "data": STANDARD.encode(bytes) }))
    };
    let opened = open("tune.pdf", sheet.body());
    assert_eq!(opened, json!({ "kind": "tune", "text": tune(), "look": look }));
    let opened = open("tune.toml", tune().as_bytes());
    assert_eq!(opened, json!({ "kind": "tune", "text": tune(), "look": {} }));
}

#[test]
fn notes_are_given_plain_and_packed_and_a_review_has_none() {
    let desk = Desk::new();
    let mut asked = handout(&json!({ "tempo": "84" }));
    assert!(desk.post("/notes", &asked).body().starts_with(b"<?xml"));
    asked["as"] = json!("mxl");
    assert!(desk.post("/notes", &asked).body().starts_with(b"PK"));
    let review = json!({ "choices": { "form": "review", "drill": "solid" } });
    let faults = desk.faults("/notes", &review);
    assert!(faults[0].1.contains("no notes to write down"), "{faults:?}");
}

#[test]
fn a_track_is_given_in_every_kind_of_file() {
    let desk = Desk::new();
    let short = json!({ "with": ["click"], "count-in": 0 });
    let mut asked = handout(&json!({ "tempo": "240", "goal": "240", "drill": "solid" }));
    asked["track"] = short;
    for (kind, start) in [("mid", &b"MThd"[..]), ("wav", b"RIFF"), ("flac", b"fLaC")] {
        asked["track"]["as"] = json!(kind);
        let track = desk.post("/track", &asked);
        assert!(track.body().starts_with(start), "{kind}");
        assert!(track.headers()["content-type"].to_str().unwrap().starts_with("audio/"));
        let about = desk.good("/track/about", &asked);
        let name = about["name"].as_str().unwrap();
        assert!(name.starts_with("playalong-solid-C") && name.ends_with(kind), "{name}");
        assert!(about["about"].as_str().unwrap().contains("click"));
    }
    let over = json!({ "text": tune(), "track": { "with": ["bass"] } });
    assert!(desk.post("/track", &over).body().starts_with(b"MThd"));
    let moved = json!({ "text": tune(), "choices": { "keys": ["D"] } });
    assert!(desk.good("/track/about", &moved)["name"].as_str().unwrap().contains("-D"));
}

/// All in one file, or one to be heard; each is what it is by itself.
#[test]
fn the_tracks_of_a_course_come_in_one_file_or_one_by_one() {
    let desk = Desk::new();
    let course =
        json!({ "course": ["solid", "pushed"], "keys": ["C"], "tempo": "240", "goal": "240" });
    let short = json!({ "with": ["click"], "count-in": 0, "as": "wav" });
    let asked = json!({ "choices": course, "track": short });
    let about = desk.good("/track/about", &asked);
    assert!(about["name"].as_str().unwrap().ends_with(".zip"), "{about}");
    let tracks = about["tracks"].as_array().unwrap();
    assert_eq!(tracks.len(), 2);
    let all = desk.post("/track", &asked);
    assert_eq!(all.headers()["content-type"], "application/zip");
    assert!(holds(all.body(), b"playlist.m3u"));
    for (index, track) in tracks.iter().enumerate() {
        let name = track["name"].as_str().unwrap();
        assert!(holds(all.body(), name.as_bytes()), "{name}");
        let mut one = asked.clone();
        one["one"] = json!(index);
        let one = desk.post("/track", &one);
        assert!(one.body().starts_with(b"RIFF") && holds(all.body(), one.body()), "{name}");
    }
    // Those of one drill at several tempi are no course.
    let rungs =
        json!({ "choices": { "drill": "solid", "keys": ["C"] }, "track": { "rungs": "all" } });
    assert!(desk.good("/track/about", &rungs)["tracks"].as_array().unwrap().len() > 2);
    assert!(!holds(desk.post("/track", &rungs).body(), b"playlist"));
}

fn holds(all: &[u8], part: &[u8]) -> bool {
    all.windows(part.len()).any(|some| some == part)
}

/// Sound waits in a file and is no part of memory.
#[test]
fn sound_is_sent_from_a_file() {
    let desk = Desk::new();
    let mut asked = handout(&json!({ "tempo": "240", "goal": "240", "drill": "solid" }));
    for (kind, is_file) in [("mid", false), ("wav", true), ("flac", true)] {
        asked["track"] = json!({ "with": ["click"], "as": kind });
        let request = desk.request(Method::POST, "/track", asked.to_string());
        let given = super::super::answer(&desk.state, request);
        assert_eq!(matches!(given.body(), ReplyContent::File(..)), is_file, "{kind}");
    }
}

#[test]
fn a_packet_is_shown_page_by_page_and_opens_as_what_it_was_made_of() {
    let desk = Desk::new();
    let asked = json!({ "student": "Ada", "under": ["shells"], "key": "F", "paper": "letter" });
    let wanted = json!({ "texts": [tune()], "asked": asked });
    let first = desk.good("/packet", &wanted);
    assert_eq!(first["faults"], json!([]));
    let pages = first["pages"].as_u64().unwrap();
    assert!(pages > 3, "{pages}");
    let name = first["name"].as_str().unwrap();
    assert!(name.starts_with("study-") && name.ends_with("-F-Ada.pdf"), "{name}");
    assert!(first["about"].as_str().unwrap().contains("Letter"));
    let mut last = wanted.clone();
    last["page"] = json!(999);
    let last = desk.good("/packet", &last);
    assert_eq!(last["page"], pages - 1);
    assert_ne!(last["drawing"], first["drawing"]);
    let sheet = desk.post("/packet/pdf", &wanted);
    assert!(sheet.body().starts_with(b"%PDF"));
    let handed = json!({ "name": "it.pdf", "data": STANDARD.encode(sheet.body()) });
    let opened = desk.good("/open", &handed);
    assert_eq!(opened, json!({ "kind": "packet", "texts": [tune()], "asked": asked }));
}

#[test]
fn what_is_wrong_with_a_packet_is_told_where_it_is() {
    let desk = Desk::new();
    let wrong = desk.good("/packet", &json!({ "texts": [WRONG] }));
    assert_eq!(wrong["faults"][0]["line"], 7, "{wrong}");
    let wrong =
        desk.good("/packet", &json!({ "texts": [tune()], "asked": { "under": ["stilts"] } }));
    assert_eq!(wrong["faults"][0]["place"], "under", "{wrong}");
    for texts in [json!([]), json!("x"), json!([1]), json!([""]), json!(vec![tune(); 7])] {
        let wrong = desk.good("/packet", &json!({ "texts": texts }));
        assert!(!wrong["faults"].as_array().unwrap().is_empty(), "{texts}");
        assert!(!desk.faults("/packet/pdf", &json!({ "texts": texts })).is_empty(), "{texts}");
    }
}

#[test]
fn what_cannot_be_played_is_told() {
    let desk = Desk::new();
    let mut asked = handout(&json!({}));
    asked["track"] = json!({ "swing": "9", "with": ["tuba"] });
    let given: Value = serde_json::from_slice(desk.post("/track", &asked).body()).unwrap();
    let places: Vec<&Value> =
        given["refused"].as_array().unwrap().iter().map(|fault| &fault["place"]).collect();
    assert_eq!(places, ["swing", "with"]);
    let course = json!({ "course": ["solid", "pushed"], "keys": ["C"] });
    let third = json!({ "choices": course, "one": 2 });
    assert!(desk.faults("/track", &third)[0].1.contains("there is no track 3"));
    let long = json!({
        "choices": { "tempo": "40", "drill": "solid" },
        "track": { "as": "wav", "choruses": 5, "rungs": "all" },
    });
    let faults = desk.faults("/track", &long);
    assert!(faults[0].1.contains("they would take"), "{faults:?}");
    let wrong = json!({ "text": WRONG });
    assert!(!desk.faults("/track", &wrong).is_empty());
}

#[test]
fn the_code_of_the_address_is_good_for_one_page() {
    let desk = Desk::new();
    let begin = |code: &str| {
        let mut request = desk.request(Method::POST, "/begin", json!({ "code": code }).to_string());
        request.headers_mut().remove("x-token");
        let response = answer(&desk.state, request);
        let body: Value = serde_json::from_slice(response.body()).unwrap();
        (response.status(), body)
    };
    assert_eq!(begin("").0, StatusCode::UNAUTHORIZED);
    let (status, given) = begin(&desk.state.door.code);
    assert_eq!((status, given["token"].as_str()), (StatusCode::OK, Some(&*desk.state.door.token)));
    desk.good("/choices", &json!({}));
    // Somebody else has read the address: nobody can tell who was first.
    let (status, refused) = begin(&desk.state.door.code);
    assert_eq!(status, StatusCode::UNAUTHORIZED);
    assert!(refused["refused"][0]["words"].as_str().unwrap().contains("start the program again"));
    assert_eq!(desk.post("/choices", &json!({})).status(), StatusCode::UNAUTHORIZED);
}

/// What is shown again is what was shown, and what is kept or handed out is made each time.
#[test]
fn what_was_shown_lately_is_shown_again_unchanged() {
    let (desk, fresh) = (Desk::new(), Desk::new());
    let mut seen = 0;
    for path in SHOWN {
        for asked in [
            handout(&json!({})),
            handout(&json!({ "keys": ["F"], "tempo": "84" })),
            handout(&json!({ "tempo": "999" })),
            json!({ "text": tune(), "name": "solid" }),
            json!({ "text": tune(), "look": { "key": "D" }, "name": "stride", "texts": [tune()] }),
        ] {
            let first = desk.post(path, &asked);
            let again = desk.post(path, &asked);
            assert!(first.body() == fresh.post(path, &asked).body(), "{path} {asked}");
            assert!(first.body() == again.body(), "{path} {asked}");
            assert_eq!(first.headers(), again.headers(), "{path} {asked}");
            seen += 1;
        }
    }
    assert!(seen > 20);
    for route in ROUTES.iter().filter(|route| SHOWN.contains(&route.path)) {
        assert!(!["/keep", "/choices", "/begin", "/stay"].contains(&route.path));
    }
}
