//! The program `desk` as people run it: files in, JSON out, errors in their place.

use crate::verbs::VERBS;
use serde_json::{Value, json};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/desk")
        .join(name)
}

fn read(name: &str) -> Value {
    let text = std::fs::read_to_string(example(name)).expect("the example is there");
    serde_json::from_str(&text).expect("the example is JSON")
}

/// Runs the desk on a file or, for `-`, on the text; gives its exit code and what it printed.
fn desk(arguments: &[&str], input: &str) -> (i32, Value) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_desk"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the desk starts");
    // A desk that doesn't read its input closes it: nothing to complain of.
    let _ = child
        .stdin
        .take()
        .expect("a pipe")
        .write_all(input.as_bytes());
    let done = child.wait_with_output().expect("the desk ends");
    let printed = serde_json::from_slice(&done.stdout).unwrap_or(Value::Null);
    (done.status.code().expect("no signal ended it"), printed)
}

/// Whether two pieces of JSON are the same, numbers to a millionth.
fn alike(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            (a - b).abs() <= 1e-6 * a.abs().max(1.0)
        }
        (Value::Array(a), Value::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| alike(a, b))
        }
        (Value::Object(a), Value::Object(b)) => {
            a.len() == b.len() && a.iter().all(|(k, a)| b.get(k).is_some_and(|b| alike(a, b)))
        }
        _ => a == b,
    }
}

#[test]
fn the_worked_examples_come_out_as_documented() {
    for verb in VERBS {
        let file = example(&format!("{verb}.request.json"));
        let (code, printed) = desk(&[verb, file.to_str().unwrap()], "");
        assert_eq!(code, 0);
        let wanted = read(&format!("{verb}.answer.json"));
        assert!(alike(&printed, &wanted), "{verb}: {printed:#}");
    }
}

#[test]
fn the_sample_is_measured_true() {
    // The sample's plaque is an ellipse of 240 x 180 mm.
    let truth = std::f64::consts::PI * 120.0 * 90.0;
    for answer in &read("survey.answer.json").as_array().unwrap()[..2] {
        let area = &answer["footprint_mm2"];
        let number = |name: &str| area[name].as_f64().unwrap();
        assert!((number("value") / truth - 1.0).abs() < 0.02, "{area}");
        assert!(
            number("low95") < truth && truth < number("high95"),
            "{area}"
        );
    }
}

#[test]
fn one_request_gets_one_answer_and_a_list_gets_a_list() {
    let request = read("survey.request.json")[1].clone();
    let (code, one) = desk(&["survey", "-"], &request.to_string());
    assert!(code == 0 && one.is_object(), "{one}");
    let list = json!([request, 5, {}]);
    let (code, many) = desk(&["survey", "-"], &list.to_string());
    assert_eq!(code, 0);
    assert_eq!(many[0], one);
    assert_eq!(
        many[1]["error"],
        "request: expected an object, found a number."
    );
    assert_eq!(many[2]["error"], "image_size_px: this field is missing.");
    let (code, none) = desk(&["survey", "-"], "[]");
    assert_eq!((code, none), (0, json!([])));
}

#[test]
fn a_number_out_of_range_is_named_in_its_place() {
    let sound = read("survey.request.json")[1].to_string();
    let list = format!("[{sound}, {}]", sound.replacen("266.5", "1e999", 1));
    let (code, answers) = desk(&["survey", "-"], &list);
    assert_eq!(code, 0);
    assert!(answers[0]["footprint_mm2"].is_object());
    let said = answers[1]["error"].as_str().unwrap();
    assert_eq!(said, "evidence[0].px[0]: the number 1e999 is out of range.");
}

#[test]
fn readings_of_a_rule_are_measured_with_gravity_and_a_slip_is_named() {
    // Five readings along the upper edge of the sample's card, as if it were a rule.
    let request = read("survey.request.json")[4].clone();
    let (_, answer) = desk(&["survey", "-"], &request.to_string());
    let truth = std::f64::consts::PI * 120.0 * 90.0;
    let area = &answer["footprint_mm2"];
    let number = |name: &str| area[name].as_f64().unwrap();
    assert!(
        number("low95") < truth && truth < number("high95"),
        "{answer}"
    );
    let mut alone = request;
    alone["evidence"] = json!([alone["evidence"][0], {"kind": "level", "rule": "long"}]);
    let (_, answer) = desk(&["survey", "-"], &alone.to_string());
    let said = answer["error"].as_str().unwrap();
    assert!(
        said.starts_with("evidence[0]: Rule long has one reading"),
        "{said}"
    );
}

#[test]
fn a_field_that_is_not_known_is_told_of() {
    let mut request = read("survey.request.json")[1].clone();
    request["lense"] = json!(1);
    let (_, answer) = desk(&["survey", "-"], &request.to_string());
    let notes = answer["notes"].to_string();
    assert!(notes.contains("lense: this field isn't known"), "{notes}");
}

#[test]
fn packs_are_told_apart_by_name_and_expire_on_a_day() {
    let said = |change: &dyn Fn(&mut Value)| {
        let mut request = read("packs.request.json")[1].clone();
        change(&mut request);
        let (code, answer) = desk(&["packs", "-"], &request.to_string());
        assert_eq!(code, 0);
        answer["error"].as_str().unwrap_or_default().to_owned()
    };
    let twice = said(&|request| request["packs"][2]["name"] = json!("Small set"));
    assert!(twice.starts_with("packs[2].name: there are two"), "{twice}");
    let when = said(&|request| request["today"] = Value::Null);
    assert!(when.starts_with("today: say which day it is"), "{when}");
    let short = said(&|request| request["packs"] = json!([]));
    assert!(
        short.starts_with("packs: There is no pack to buy"),
        "{short}"
    );
    // Nothing is needed, nothing is bought.
    let nothing = json!({"need_g": 0, "packs": []});
    let (_, nothing) = desk(&["packs", "-"], &nothing.to_string());
    let wanted = json!({"buy": {}, "use_owned": {}, "cost": 0, "left_over_g": 0});
    assert!(alike(&nothing, &wanted), "{nothing}");
}

#[test]
fn what_is_no_json_or_no_file_ends_with_two() {
    for text in ["", "{", "{\"a\": NaN}", "[1,]", "\u{7}"] {
        let (code, printed) = desk(&["survey", "-"], text);
        let said = printed["error"].as_str().unwrap_or_default();
        assert!(
            code == 2 && said.starts_with("This isn't JSON"),
            "{text:?}: {code} {printed}"
        );
    }
    let (code, printed) = desk(&["survey", "no such file.json"], "");
    assert!(code == 2 && printed["error"].is_string(), "{printed}");
    assert_eq!(desk(&["dig"], "").0, 2);
    assert_eq!(desk(&[], "").0, 2);
}

#[test]
fn deep_and_odd_json_never_makes_it_panic() {
    let deep = "[".repeat(100_000);
    for text in [
        deep.as_str(),
        "null",
        "\"survey\"",
        "[[]]",
        r#"{"image_size_px": [[[[]]]]}"#,
        r#"{"image_size_px": [4000, 3000], "evidence": [], "outline_px": []}"#,
        r#"{"image_size_px": [4000, 3000], "evidence": [null], "outline_px": []}"#,
        r#"{"image_size_px": [4000, 3000], "evidence": [], "outline_px": [], "lens": {}}"#,
    ] {
        let (code, printed) = desk(&["survey", "-"], text);
        assert!(code == 0 || code == 2, "{code}");
        assert!(printed.to_string().contains("error"), "{printed}");
    }
}

#[test]
fn a_paste_by_volume_is_planned_by_weight() {
    let sheet = json!({
        "name": "A paste made up for this test",
        "ratio_by_volume": [2, 1],
        "density_a": 1.2,
        "density_b": 1.0,
        "working": 20,
        "recoat_from": 60,
        "demould": 240,
        "reference": 23
    });
    let request = |sheet: &Value| json!({ "area_mm2": 60000, "perimeter_mm": 1000, "highest_mm": 18, "material": sheet });
    let mut by_weight = sheet.clone();
    by_weight["ratio_by_volume"] = Value::Null;
    by_weight["ratio_by_mass"] = json!([12, 5]);
    let mut unknown = sheet.clone();
    unknown["density_b"] = Value::Null;
    let mut apart = sheet.clone();
    apart["ratio_by_mass"] = json!([2, 1]);
    let list: Vec<Value> = [&sheet, &by_weight, &unknown, &apart].map(request).to_vec();
    let (code, answers) = desk(&["coating", "-"], &json!(list).to_string());
    assert_eq!(code, 0);
    let brought = |part: &str| answers[0][part].as_f64().expect("a mass");
    assert!((brought("bring_a_g") / brought("bring_b_g") - 2.4).abs() < 0.01);
    assert!(alike(&answers[0]["bring_g"], &answers[1]["bring_g"]));
    let error = |i: usize| answers[i]["error"].as_str().expect("an error");
    assert!(error(2).contains("A ratio by volume is not one by weight"));
    assert!(error(3).contains("contradict each other"));
}

#[test]
fn a_days_plan_is_left_when_it_was_computed_and_a_clash_names_its_place() {
    let piece = |name: &str| json!({"name": name, "coats_min": [20, 20, 20]});
    let day = |names: &[&str], until: Value| {
        let pieces: Vec<Value> = names.iter().map(|name| piece(name)).collect();
        let card = json!({"recoat_from_min": 40, "recoat_until_min": until, "demould_min": 0});
        json!({"cards": {"paste": card}, "pieces": pieces})
    };
    let answer = |request: &Value| {
        let (code, answer) = desk(&["clock", "-"], &request.to_string());
        assert_eq!(code, 0);
        answer
    };
    // Computed by another solver: without a limit 300, with it 340.
    let five = ["a", "b", "c", "d", "e"];
    for (until, leave) in [(Value::Null, 300), (json!(70), 340)] {
        let answer = answer(&day(&five, until));
        let wanted = json!([leave, leave, true]);
        let said = json!([
            answer["leave_min"],
            answer["bound_min"],
            answer["proven_best"]
        ]);
        assert!(alike(&said, &wanted), "{answer}");
    }
    let said = |request: &Value| {
        answer(request)["error"]
            .as_str()
            .unwrap_or_default()
            .to_owned()
    };
    let twice = said(&day(&["a", "a"], Value::Null));
    assert!(
        twice.starts_with("pieces[1].name: there are two"),
        "{twice}"
    );
    let gap = said(&day(&["a"], json!(30)));
    assert!(
        gap.starts_with("cards.paste.recoat_until_min: the gap"),
        "{gap}"
    );
    let mut pinned = day(&["a"], Value::Null);
    pinned["pins"] = json!([{"piece": "a", "work": "coat 2", "start_min": 50}]);
    let pin = said(&pinned);
    assert!(pin.starts_with("pins[0]: Coat 2 of a can't start"), "{pin}");
    pinned["pins"][0]["work"] = json!("coat 7");
    let unknown = said(&pinned);
    assert!(
        unknown.starts_with("pins[0].work: there is no work"),
        "{unknown}"
    );
    // A plan that was made is kept where nothing happened.
    let mut again = day(&five, json!(70));
    let before = answer(&again);
    again["before"] = before["steps"].clone();
    assert_eq!(answer(&again)["steps"], before["steps"]);
}
