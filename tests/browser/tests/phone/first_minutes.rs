//! The first five minutes: from the first start to the footprint on one's own photo with a card in
//! at most twelve taps, and to a packed kit in at most ten more. A stroke counts as a tap, a number
//! as one too.

use peelcast_browser::{Host, Phone, Photo, Screen, journey, scratch_folder};
use std::time::Instant;

/// A phone whose taps are counted.
struct Counted<'a> {
    phone: &'a Phone,
    taps: usize,
}

impl Counted<'_> {
    async fn tap(&mut self, css: &str) {
        self.phone.tap(css).await;
        self.taps += 1;
    }

    async fn touch(&mut self, pixel: [f64; 2]) {
        journey::touch_photo(self.phone, pixel).await;
        self.taps += 1;
    }
}

#[tokio::test]
async fn few_taps_to_a_footprint_and_to_a_packed_kit() {
    let folder = scratch_folder("first-minutes-files");
    let host = Host::start("/", &folder.join("requests.log"));
    let phone = Phone::new("first-minutes", Screen::NARROW).await;
    let begun = Instant::now();
    phone.look_at(&host.url("")).await;
    phone.wait("#new-job").await;
    let photo = Photo::sample();
    let mut hand = Counted {
        phone: &phone,
        taps: 0,
    };
    hand.tap("#new-job").await;
    hand.tap("#add-piece").await;
    hand.tap("#go-measure").await;
    phone.give_file("#photo-file", &photo.file).await;
    hand.taps += 1;
    phone
        .wait_until(
            "the photo is shown",
            "return (document.querySelector('#photo')?.naturalWidth ?? 0) > 0 \
             && !!document.querySelector('#reference-kind')",
            vec![],
        )
        .await;
    for corner in &photo.card {
        hand.touch(*corner).await;
    }
    hand.tap("#to-outline").await;
    phone.wait("#way-ring").await;
    hand.tap("#way-ring").await;
    let ring = journey::loose_ring(&phone, &photo).await;
    phone.drag(&ring).await;
    hand.taps += 1;
    let measured = "return /\\d/.test(document.querySelector('#footprint-area')?.innerText ?? '')";
    phone
        .wait_until("the footprint is there", measured, vec![])
        .await;
    let (taps, seconds) = (hand.taps, begun.elapsed().as_secs_f64());
    println!("to the footprint: {taps} taps, {seconds:.0} s of a machine that does not think");
    phone.shot("footprint").await;
    assert!(taps <= 12, "{taps} taps to the footprint");
    assert!(seconds < 90.0, "{seconds:.0} s to the footprint");

    hand.taps = 0;
    hand.tap("#page-plan").await;
    hand.tap("#relief-middle").await;
    phone.fill("#highest", "18 mm").await;
    hand.taps += 1;
    phone.wait("#total-to-bring").await;
    hand.tap("#page-pack").await;
    phone.wait("#kit input").await;
    hand.tap("#tick-all").await;
    let ticked = "const all = [...document.querySelectorAll('#kit input[type=checkbox]')]; \
        return all.length > 5 && all.every((box) => box.checked)";
    phone
        .wait_until("all of it is packed", ticked, vec![])
        .await;
    println!("to the packed kit: {} taps more", hand.taps);
    phone.shot("packed").await;
    assert!(hand.taps <= 10, "{} taps to the packed kit", hand.taps);
}
