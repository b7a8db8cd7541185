//! The photo flow with a photo of twelve megapixels never holds the page up: the browser itself
//! reports every task over 50 ms. No work on the picture may cause one, and alone on a machine
//! setting marks, which measures anew each time, causes none either; 25 ms more are left to it for a
//! machine that is busy with other work. Nor do the plan and the day that are worked out meanwhile.
//! `cargo verify` runs these tests with nothing beside them.

use peelcast::job::{Piece, PieceId};
use peelcast_browser::{Phone, Photo, journey};
use serde_json::json;

const LONGEST_MS: f64 = 75.0;
const LONGEST_FOR_PICTURES_MS: f64 = 50.0;

const WATCH: &str = "window.longTasks = []; \
    new PerformanceObserver((list) => { \
        for (const task of list.getEntries()) window.longTasks.push(task.duration); \
    }).observe({ type: 'longtask' })";

/// The longest task since the last question in milliseconds; 0 where none was over 50 ms.
async fn longest(phone: &Phone, during: &str) -> f64 {
    // A report comes in a moment after its task.
    phone.wait_until_settled().await;
    let found = phone
        .js("return Math.max(0, ...window.longTasks.splice(0))", vec![])
        .await;
    let longest = found.as_f64().expect("milliseconds");
    println!("{during}: longest task {longest:.0} ms");
    longest
}

#[tokio::test]
async fn the_photo_flow_does_not_hold_the_page_up() {
    let (phone, _host, folder) = journey::phone_with_sample("smooth").await;
    let photo = Photo::sample()
        .enlarged(&phone, [4000, 3000], &folder)
        .await;
    journey::own_piece(&phone, "Rose").await;
    phone.js(WATCH, vec![]).await;
    let mut worst: f64 = 0.0;

    phone.give_file("#photo-file", &photo.file).await;
    phone.wait("#photo").await;
    let decoded = "return document.querySelector('#photo').naturalWidth === 4000";
    phone
        .wait_until("the photo is shown", decoded, vec![])
        .await;
    let choosing = longest(&phone, "choosing the photo").await;

    phone.tap("#task-reference").await;
    for corner in &photo.card {
        journey::touch_photo(&phone, *corner).await;
    }
    phone.wait("#to-outline:enabled").await;
    worst = worst.max(longest(&phone, "marking").await);

    phone.tap("#to-outline").await;
    for point in &photo.outline {
        journey::touch_photo(&phone, *point).await;
    }
    phone.tap("#close-outline").await;
    phone.wait("#to-check:enabled").await;
    worst = worst.max(longest(&phone, "outlining").await);

    phone.tap("#to-check").await;
    journey::laid_flat(&phone).await;
    phone.shot("flat").await;
    let pictures = choosing.max(longest(&phone, "laying the picture flat").await);
    assert!(
        pictures <= LONGEST_FOR_PICTURES_MS,
        "a task of {pictures:.0} ms"
    );
    assert!(worst <= LONGEST_MS, "a task of {worst:.0} ms");

    let job = journey::job_named(&phone, "Job for Rose").await;
    let photo = job.pieces[0].photos().next();
    let kept = photo.map(|photo| json!([photo.width, photo.height]));
    assert_eq!(kept, Some(json!([4000, 3000])), "kept in full size");
}

/// The median and the worst of what one move of the slider takes, until all that follows from it is
/// drawn, in milliseconds.
const DRAG: &str = "const slider = document.querySelector('#slide-2'); \
    const took = []; \
    const frame = () => new Promise(requestAnimationFrame); \
    for (let move = 0; move < 60; move++) { \
        await frame(); \
        slider.value = 1 + (move % 30) / 10; \
        const from = performance.now(); \
        slider.dispatchEvent(new Event('input', { bubbles: true })); \
        await new Promise((done) => { \
            const { port1, port2 } = new MessageChannel(); \
            port1.onmessage = done; \
            port2.postMessage(0); \
        }); \
        document.body.getBoundingClientRect(); \
        took.push(performance.now() - from); \
    } \
    took.sort((a, b) => a - b); \
    return [took[30], took[59]]";

/// Times are of the machine at hand: the bound only tells a page that follows from one that
/// stutters.
#[tokio::test]
async fn the_plan_follows_a_finger_on_a_slider() {
    let (phone, _host, _folder) = journey::phone_with_sample("slider").await;
    journey::go(&phone, &journey::sample_page(&phone, "plan").await).await;
    phone.wait("#slide-2").await;
    let build = |piece: &Piece| piece.coats[1].thickness.0;
    let before = journey::sample_piece(&phone, "as it came", |_| true).await;
    let bring = phone.text("#total-to-bring").await;
    let took = phone.js_later(DRAG, vec![]).await;
    println!("a move of the slider, all drawn: median and worst {took} ms");
    let middle = "document.querySelector('#slide-2').scrollIntoView({ block: 'center' })";
    phone.js(middle, vec![]).await;
    phone.shot("moved").await;
    let moved = phone.text("#total-to-bring").await;
    assert_ne!(moved, bring, "seen while it moves");
    let let_go = "const slider = document.querySelector('#slide-2'); slider.value = 3.3; \
        for (const kind of ['input', 'change']) \
            slider.dispatchEvent(new Event(kind, { bubbles: true }))";
    let kept = journey::sample_piece(&phone, "as it was", |_| true).await;
    assert_eq!(build(&kept), build(&before), "not kept while it moves");
    phone.js(let_go, vec![]).await;
    journey::sample_piece(&phone, "3.3 mm", |piece| build(piece) == 3.3).await;
    let median = took[0].as_f64().expect("milliseconds");
    assert!(median <= 50.0, "{median:.0} ms a move");
}

/// Six pieces of three coats: for how long the page can't be touched while they are planned anew, in
/// milliseconds, printed. The worker plans, so this is only what it takes to show them.
#[tokio::test]
async fn six_pieces_are_planned_while_one_looks() {
    let (phone, _host, folder) = journey::phone_with_sample("six").await;
    let mut six = crate::day::job();
    let sizes = [0.9, 1.0, 1.1, 1.3, 1.6, 2.0];
    let base = six.pieces[0].clone();
    six.pieces = (1..)
        .zip(sizes)
        .map(|(n, size)| {
            let mut piece = base.clone();
            piece.id = PieceId::new(&format!("p{n}"));
            piece.name = format!("Piece {n}");
            // Thicker coats take longer to put on.
            piece
                .coats
                .iter_mut()
                .for_each(|coat| coat.speed = coat.speed * (1.0 / size));
            piece
        })
        .collect();
    journey::import(&phone, &folder, six).await;
    journey::go(&phone, "#/job/day/day").await;
    phone.wait("#leave-at").await;
    phone.shot("six").await;
    let took = "const seen = []; \
        new PerformanceObserver((list) => list.getEntries().forEach((e) => seen.push(e.duration))) \
            .observe({ type: 'longtask' }); \
        for (const n of [2, 1, 3, 1]) { \
            document.querySelector('#hands-' + n).click(); \
            await new Promise((done) => setTimeout(done, 1500)); \
        } \
        return Math.max(0, ...seen)";
    let took = phone.js_later(took, vec![]).await;
    println!("six pieces planned anew: longest task {took} ms");
    assert!(took.as_f64().expect("milliseconds") < 500.0);
    journey::says(&phone, "#from-best", &["No order"]).await;
}
