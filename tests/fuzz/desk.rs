//! The requests of the desk, put to the program itself in lists: each gets its answer or its
//! sentence, and a list that ends the program is looked through for the request that did it.

use crate::change::{bytes, one, value};
use crate::run::{alone, count};
use crate::seed::pictures;
use crate::verbs::VERBS;
use fastrand::Rng;
use serde_json::{Value, json};
use std::io::Write;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// So long one list may take.
const LONGEST: Duration = Duration::from_secs(60);
/// So much the program may hold at it.
const MOST_MEGABYTES: f64 = 200.0;

/// The requests in the examples of a verb.
fn examples(verb: &str) -> Vec<Value> {
    let path = format!(
        "{}/tests/desk/{verb}.request.json",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(path).expect("the example is there");
    match serde_json::from_str(&text).expect("the example is JSON") {
        Value::Array(requests) => requests,
        one => vec![one],
    }
}

/// The most memory that a running program has held so far, in megabytes; `None` where the system
/// does not tell (it is Linux's to tell).
fn held(program: u32) -> Option<f64> {
    let status = std::fs::read_to_string(format!("/proc/{program}/status")).ok()?;
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kilobytes: f64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kilobytes / 1000.0)
}

/// Runs the desk on a text; what it printed and the megabytes that it held (0 where the system does
/// not tell), or how it ended.
fn desk(verb: &str, input: &[u8]) -> Result<(Value, f64), String> {
    let child = Command::new(env!("CARGO_BIN_EXE_desk"))
        .args([verb, "-"])
        .current_dir(env!("CARGO_MANIFEST_DIR").to_owned() + "/tests/desk")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn();
    let mut child = child.expect("the desk starts");
    let mut pipe = child.stdin.take().expect("a pipe");
    let input = input.to_vec();
    let writer = std::thread::spawn(move || pipe.write_all(&input));
    let mut printed = child.stdout.take().expect("a pipe");
    let reader = std::thread::spawn(move || {
        let mut text = String::new();
        std::io::Read::read_to_string(&mut printed, &mut text).map(|_| text)
    });
    let began = Instant::now();
    let mut megabytes = 0.0_f64;
    let code = loop {
        if let Some(status) = child.try_wait().expect("it is ours") {
            break status.code();
        }
        megabytes = megabytes.max(held(child.id()).unwrap_or_default());
        let why = match began.elapsed() > LONGEST {
            true => Some("it hangs".to_owned()),
            false => (megabytes > MOST_MEGABYTES).then(|| format!("it holds {megabytes:.0} MB")),
        };
        if let Some(why) = why {
            child.kill().expect("it is ours");
            let _ = child.wait();
            return Err(why);
        }
        std::thread::sleep(Duration::from_millis(2));
    };
    let _ = writer.join();
    let text = reader.join().expect("the reader ends").unwrap_or_default();
    if !matches!(code, Some(0 | 2)) {
        let mut said = String::new();
        let _ = std::io::Read::read_to_string(&mut child.stderr.take().expect("a pipe"), &mut said);
        return Err(format!("it ended with {code:?}: {said}"));
    }
    let answer = serde_json::from_str(&text).map_err(|why| format!("its answer is no JSON: {why}"));
    Ok((answer?, megabytes))
}

fn list(requests: &[Value]) -> Vec<u8> {
    json!(requests).to_string().into_bytes()
}

/// Puts a list, and returns its answers with the megabytes that the program held; where the list
/// ends the program, finds the one request that does.
fn put(verb: &str, requests: &[Value]) -> (Vec<Value>, f64) {
    match desk(verb, &list(requests)) {
        Ok((Value::Array(answers), megabytes)) => {
            assert_eq!(answers.len(), requests.len(), "{answers:?}");
            (answers, megabytes)
        }
        Ok((other, _)) => panic!("desk {verb}: a list is answered with {other}"),
        Err(why) => {
            for request in requests {
                if let Err(why) = desk(verb, request.to_string().as_bytes()) {
                    panic!("desk {verb}: {why}\n{request}");
                }
            }
            panic!("desk {verb}: a list of {} together: {why}", requests.len());
        }
    }
}

#[test]
fn requests_of_the_desk() {
    let _alone = alone();
    let (inputs, together) = (count(300, 1_000_000), 50);
    for verb in VERBS {
        let began = Instant::now();
        let sound = examples(verb);
        let (mut slowest, mut most) = (Duration::ZERO, 0.0_f64);
        for first in (0..inputs).step_by(together) {
            let seeds = first..(first + together as u64).min(inputs);
            let changed = |seed| value(&mut Rng::with_seed(seed), &sound);
            let start = Instant::now();
            let (_, megabytes) = put(verb, &seeds.map(changed).collect::<Vec<_>>());
            most = most.max(megabytes);
            slowest = slowest.max(start.elapsed());
        }
        println!(
            "desk {verb}: {inputs} requests in {:.1} s; slowest {together} {:.1} s, most memory {most:.0} MB",
            began.elapsed().as_secs_f64(),
            slowest.as_secs_f64(),
        );
    }
}

#[test]
fn texts_that_are_hardly_json() {
    let _alone = alone();
    for verb in VERBS {
        let texts: Vec<Vec<u8>> = vec![list(&examples(verb))];
        for seed in 0..count(10, 1000) {
            let text = bytes(&mut Rng::with_seed(seed), &texts);
            if let Err(why) = desk(verb, &text) {
                panic!("desk {verb}: {why}\n{}", String::from_utf8_lossy(&text));
            }
        }
    }
}

/// A picture as small as the desk takes it, that can be decoded.
fn drawn(colour: png::ColorType, depth: png::BitDepth) -> Vec<u8> {
    let (width, height) = (250, 240);
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, width, height);
    encoder.set_color(colour);
    encoder.set_depth(depth);
    let samples = colour.samples()
        * if depth == png::BitDepth::Sixteen {
            2
        } else {
            1
        };
    let data: Vec<u8> = (0..width as usize * height as usize * samples)
        .map(|n| (n * n % 251) as u8)
        .collect();
    let mut writer = encoder.write_header().expect("a header");
    writer.write_image_data(&data).expect("a picture");
    writer.finish().expect("its end");
    file
}

/// Pairs of pictures as the desk matches them, most of them damaged.
#[test]
fn pictures_for_the_desk() {
    let _alone = alone();
    let folder =
        std::path::PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("pictures-for-the-desk");
    std::fs::create_dir_all(&folder).expect("the folder is made");
    let mut sound = pictures();
    for colour in [
        png::ColorType::Grayscale,
        png::ColorType::Rgb,
        png::ColorType::Rgba,
    ] {
        let depths = [png::BitDepth::Eight, png::BitDepth::Sixteen];
        sound.extend(depths.map(|depth| drawn(colour, depth)));
    }
    let (inputs, together) = (count(200, 20_000), 20);
    let (began, mut matched, mut most) = (Instant::now(), 0, 0.0_f64);
    for first in (0..inputs).step_by(together) {
        let mut rng = Rng::with_seed(first);
        let files: Vec<_> = (0..together)
            .map(|n| {
                let path = folder.join(n.to_string());
                let bytes = match rng.u8(0..3) {
                    0 => one(&mut rng, &sound).clone(),
                    _ => bytes(&mut rng, &sound),
                };
                std::fs::write(&path, bytes).expect("the folder can be written");
                path
            })
            .collect();
        let requests: Vec<Value> = (0..together)
            .map(|_| {
                let left = one(&mut rng, &files);
                let right = if rng.bool() {
                    left
                } else {
                    one(&mut rng, &files)
                };
                let most = *one(&mut rng, &[0_u64, 1, 2, 12, 9000, u64::MAX]);
                let request = json!({"left": left, "right": right, "most_px": most});
                match rng.u8(0..4) {
                    0 => value(&mut rng, &[request]),
                    _ => request,
                }
            })
            .collect();
        let (answers, megabytes) = put("stereo", &requests);
        most = most.max(megabytes);
        matched += answers
            .iter()
            .filter(|answer| answer.get("error").is_none())
            .count();
    }
    println!(
        "desk stereo: {inputs} pairs in {:.1} s, {matched} matched, most memory {most:.0} MB",
        began.elapsed().as_secs_f64()
    );
    assert!(matched > 0, "nothing but the first check is tried");
}
