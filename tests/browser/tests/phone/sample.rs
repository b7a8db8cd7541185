//! The sample job by its address, as `cargo serve` opens it, and its pages at first sight.

use peelcast::app::route::{Page, Route};
use peelcast::job::{JobId, PieceId, SAMPLE_JOB, SAMPLE_PIECE};
use peelcast_browser::{Host, Phone, Screen, scratch_folder};

/// The picture in README.md is put together from these screenshots: see DEVELOPERS.md.
#[tokio::test]
async fn an_address_leads_into_the_sample_job_on_an_empty_device() {
    let folder = scratch_folder("sample-host");
    let host = Host::start("/", &folder.join("requests.log"));
    let mut phone = Phone::new("sample", Screen::PHONE).await;
    let (job, piece) = (JobId::new(SAMPLE_JOB), PieceId::new(SAMPLE_PIECE));
    let place = Route::Piece(job, piece, Page::Measure).to_string();
    phone.open(&host.url(&place)).await;

    phone.tap("#task-outline").await;
    phone.wait("#footprint-area").await;
    phone
        .wait_until(
            "the photo is shown",
            "return (document.querySelector('#photo')?.naturalWidth ?? 0) > 0",
            vec![],
        )
        .await;
    phone.shot("measure").await;

    phone.tap("#page-plan").await;
    phone.wait("#total-to-bring").await;
    phone.shot("plan").await;

    phone.tap("#page-pack").await;
    phone.wait("#kit").await;
    phone.shot("pack").await;

    phone.tap("#page-coat").await;
    phone.tap("#coat-main").await;
    phone.wait("#coat-countdown").await;
    phone.pass_minutes(2.5).await;
    phone.wait_until_settled().await;
    phone.shot("coat").await;

    phone.tap("#leave-steps").await;
    phone.tap("#page-cast").await;
    phone.wait("#cast-mass").await;
    phone.shot("cast").await;
}
