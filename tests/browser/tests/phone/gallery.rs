//! All screens in all colours, on two phones and a tablet, in both languages: pictures for a person
//! to look at. `cargo gallery` runs it.

use peelcast_browser::{Host, Phone, Screen, journey, scratch_folder};
use std::time::Duration;

#[tokio::test]
#[ignore = "pictures for a person, minutes of them: cargo gallery"]
async fn all_screens_on_all_devices() {
    for (device, screen) in [
        ("narrow", Screen::NARROW),
        ("phone", Screen::PHONE),
        ("tablet", Screen::TABLET),
    ] {
        let name = format!("gallery-{device}");
        let folder = scratch_folder(&format!("{name}-files"));
        let host = Host::start("/", &folder.join("requests.log"));
        let phone = Phone::new(&name, screen).await;
        journey::first_start(&phone, &host).await;
        phone.wait(journey::READ).await;
        let piece = journey::sample_page(&phone, "").await;
        for (language, theme) in [
            ("en", "light"),
            ("en", "dark"),
            ("en", "sun"),
            ("de", "light"),
        ] {
            journey::speak(&phone, language).await;
            phone.tap(&format!("#theme-{theme}")).await;
            for (screen, place, there) in journey::places(&piece) {
                journey::go(&phone, &place).await;
                phone.wait(there).await;
                tokio::time::sleep(Duration::from_millis(700)).await;
                phone.shot(&format!("{language}-{theme}-{screen}")).await;
            }
        }
    }
}
