// Starts the app, and says what is safe where it does not start or has failed. This file needs
// nothing of the program itself.

const { js, wasm } = document.getElementById("boot").dataset;
const settings = storedSettings();
const german = (settings.language ?? navigator.language).startsWith("de");
const note = document.getElementById("boot-note");

// Where the browser guards what can become a program: scripts come from this host alone (the two
// workers), and markup made of text is that of the app's own views, which run nothing.
const runs = /<\s*(script|iframe|object|embed|base|link|meta)|\son\w+\s*=|javascript:/i;
window.trustedTypes?.createPolicy("default", {
  createHTML: (markup) => (runs.test(markup) ? null : markup),
  createScriptURL: (address) =>
    new URL(address, document.baseURI).origin === location.origin ? address : null,
});

addEventListener("error", (event) => stopIfTrapped(event.error));
addEventListener("unhandledrejection", (event) => stopIfTrapped(event.reason));

noteTouch();
dress();
try {
  await painted();
  const program = fetch(new URL(wasm, document.baseURI));
  const app = await import(new URL(js, document.baseURI));
  await app.default({ module_or_path: program });
} catch (error) {
  // However far the app has come.
  document.body.prepend(note);
  note.textContent =
    say(
      "Peelcast could not start. What you recorded is still kept on this device: do not clear " +
        "the browser's data. Load the page again; if that does not help, update the browser.",
      "Peelcast konnte nicht starten. Was du aufgezeichnet hast, ist weiterhin auf diesem Gerät: " +
        "lösche nicht die Daten des Browsers. Lade die Seite noch einmal; hilft das nicht, " +
        "aktualisiere den Browser.",
    ) + ` (${error})`;
}

// A program that has trapped is in no sound state: nothing of it runs on, and nothing that it
// might still want to store is stored.
function stopIfTrapped(error) {
  if (!(error instanceof WebAssembly.RuntimeError)) return;
  for (let timer = setTimeout(() => {}); timer > 0; timer -= 1) clearTimeout(timer);
  const again = element("a", say("Start again", "Neu starten"));
  again.id = "start-again";
  again.className = "button main";
  // The bare address loads the page anew; one with a "#" would not.
  again.href = "./";
  const save = element(
    "a",
    say("Save the stored jobs to a file", "Die gespeicherten Aufträge in eine Datei sichern"),
  );
  save.id = "save-stored";
  save.className = "button";
  save.download = "peelcast-stored.json";
  save.href = URL.createObjectURL(new Blob([JSON.stringify(localStorage)]));
  const row = element("p", "");
  row.className = "row";
  row.append(again, save);
  const details = element("details", "");
  const what = document.documentElement.dataset.failure ?? error.message;
  details.append(element("summary", say("What failed", "Was fehlschlug")), element("p", what));
  const page = element("main", "");
  page.append(
    element("h1", say("Peelcast has stopped", "Peelcast ist stehen geblieben")),
    element(
      "p",
      say(
        "An error in the program, not in your work. Your jobs and photos are saved on this " +
          "device, with every step that was shown as done. Running coats go on counting: their " +
          "times are stored.",
        "Ein Fehler im Programm, nicht in deiner Arbeit. Deine Aufträge und Fotos sind auf diesem " +
          "Gerät gespeichert, mit jedem Schritt, der als erledigt gezeigt wurde. Laufende " +
          "Schichten zählen weiter: ihre Zeiten sind gespeichert.",
      ),
    ),
    row,
    element(
      "p",
      say(
        "If it stops again at the same place, save the stored jobs to a file, then update the " +
          "browser and look for a new version of Peelcast.",
        "Bleibt es an derselben Stelle wieder stehen, sichere die gespeicherten Aufträge in eine " +
          "Datei, aktualisiere dann den Browser und sieh nach einer neuen Version von Peelcast.",
      ),
    ),
    details,
  );
  document.body.replaceChildren(page);
}

// A first start fetches no more than its list of jobs needs until somebody turns to the page
// (src/phone/update.rs), and that may be before the program is here.
function noteTouch() {
  const turn = () => {
    if ("touched" in document.documentElement.dataset) return;
    document.documentElement.dataset.touched = "";
    dispatchEvent(new Event("touched"));
  };
  for (const kind of ["pointerdown", "keydown", "click", "wheel", "hashchange", "appinstalled"]) {
    addEventListener(kind, turn, { capture: true, once: true, passive: true });
  }
}

// The frame in the colours and the language that the app will have; the app takes its place.
function dress() {
  const root = document.documentElement;
  root.dataset.theme = settings.theme ?? "auto";
  const line = document.getElementById("boot-line");
  // Only the list of jobs begins with it.
  line.hidden = location.hash.length > 2;
  if (!german) return;
  root.lang = "de";
  line.textContent =
    "Ein Auftrag ist ein Ort mit Ornament zum Abformen. Öffne einen oder beginne einen neuen.";
  note.textContent =
    "Peelcast startet. Bleibt diese Zeile eine Minute lang stehen, ist dieser Browser zu alt " +
    "dafür: aktualisiere den Browser, dann lade die Seite noch einmal.";
}

// Once the frame is on the screen: starting the program keeps the phone busy for a moment. A page
// that nobody sees paints nothing and does not wait.
function painted() {
  return new Promise((done) => {
    requestAnimationFrame(() => setTimeout(done));
    setTimeout(done, 100);
  });
}

// What the app has stored of them: this much is needed where nothing else runs.
function storedSettings() {
  try {
    return JSON.parse(localStorage.getItem("peelcast.settings")) ?? {};
  } catch {
    return {};
  }
}

function say(english, deutsch) {
  return german ? deutsch : english;
}

function element(kind, text) {
  const made = document.createElement(kind);
  made.textContent = text;
  return made;
}
