// The phone page. It works without the hub: a service worker serves the page itself, the journal keeps what is typed, and
// the link delivers it whenever the hub can be reached.

import { coarse, inWords } from "/phone/coarse.js";
import { entries } from "/phone/entries.js";
import { Journal } from "/phone/journal.js";
import { deliver } from "/phone/link.js";

const every = 30000; // ms between two attempts to deliver
const shown = 50; // entries listed
const at = (id) => document.getElementById(id);
const make = (tag, properties = {}, ...inside) => {
  const made = Object.assign(document.createElement(tag), properties);
  made.append(...inside);
  return made;
};

function showLight(isRed) {
  if (isRed) {
    document.documentElement.dataset.light = "red";
  } else {
    delete document.documentElement.dataset.light;
  }
  at("light").textContent = isRed ? "Day and night light again" : "Red light for dark tents";
}

showLight(document.cookie.split("; ").includes("light=red"));

const journal = await Journal.open();
let trip = await journal.recall("trip");
let isDelivering = false;
let isTouched = false;

function field(definition) {
  const id = `field-${definition.name}`;
  const label = make("label", { htmlFor: id, textContent: definition.label + (definition.unit ? ` (${definition.unit})` : "") });
  if (definition.kind === "yes") {
    return make("p", {}, make("label", {}, make("input", { type: "checkbox", id, name: definition.name, value: "yes" }), ` ${definition.label}`));
  }
  let input;
  if (definition.choices) {
    input = make("select", { id, name: definition.name }, ...definition.choices.map(([value, words]) => make("option", { value, textContent: words })));
  } else if (definition.list) {
    const names = definition.list.flatMap((list) => trip?.items?.[list] ?? []);
    input = names.length > 0
      ? make("select", { id, name: definition.name, required: true }, make("option", { value: "", textContent: "choose" }), ...names.map((name) => make("option", { value: name, textContent: name })))
      : make("input", { id, name: definition.name, required: true, maxLength: 100, autocomplete: "off" });
  } else if (definition.kind === "text") {
    input = make("textarea", { id, name: definition.name, rows: 4, maxLength: 2000, required: true });
  } else {
    input = make("input", { id, name: definition.name, type: "number", inputMode: definition.min < 0 ? "text" : "decimal", min: definition.min, max: definition.max, step: definition.step, required: definition.required === true });
  }
  return make("p", {}, label, " ", input);
}

function showFields() {
  at("entry-fields").replaceChildren(...entries[at("entry-kind").selectedIndex].fields.map(field));
}

function showTrip() {
  if (!trip) {
    return;
  }
  at("trip-words").textContent = `${trip.trip}. Names and figures of the hub from ${new Date(trip.asOf).toLocaleString()}.`;
  const answers = trip.banks.map((bank) => make("li", { textContent: inWords(coarse(bank, Date.parse(trip.asOf), Date.now() + trip.clockAheadMs)) }));
  at("coarse").replaceChildren(answers.length > 0 ? make("ul", {}, ...answers) : make("p", { textContent: "The hub had no outlook to take along." }));
}

async function showDraft() {
  const draft = await journal.recall("draft");
  if (!draft || !entries[draft.kind]) {
    return;
  }
  at("entry-kind").selectedIndex = draft.kind;
  showFields();
  for (const [name, value] of Object.entries(draft.fields)) {
    const input = at("entry-form").elements.namedItem(name);
    if (input?.type === "checkbox") {
      input.checked = true;
    } else if (input) {
      input.value = value;
    }
  }
  isTouched = true;
  at("entry-said").textContent = "Not kept yet: this was half typed when the page was closed.";
}

async function showKept() {
  const self = await journal.recall("self");
  at("naming").hidden = Boolean(self);
  at("typing").hidden = !self;
  const all = (await journal.all()).sort((a, b) => b.writtenAt - a.writtenAt);
  const isDelivered = (entry) => !self || entry.epoch !== self.epoch || entry.sequence <= self.delivered;
  at("kept").replaceChildren(...all.slice(0, shown).map((entry) => make("li", {},
    make("strong", { textContent: isDelivered(entry) ? "✓ delivered " : "● kept " }),
    `${new Date(entry.writtenAt).toLocaleString()}: ${entry.words}`)));
  if (all.length === 0) {
    at("kept").replaceChildren(make("li", { textContent: "Nothing yet." }));
  }
  return all.filter((entry) => !isDelivered(entry)).length;
}

async function fetchTrip() {
  const answer = await fetch("/phone/trip.json");
  if (answer.ok) {
    const told = await answer.json();
    trip = { ...told, clockAheadMs: Date.parse(told.asOf) - Date.now() };
    await journal.remember("trip", trip);
    showTrip();
    if (told.node) {
      at("node").value = told.node; // where devices must join, the hub takes this phone's reports under this name only
      at("node").readOnly = true;
    }
    if (!isTouched) {
      showFields(); // new names, but never under the hands of someone who types
    }
  }
}

async function reachHub() {
  if (isDelivering) {
    return;
  }
  isDelivering = true;
  try {
    if (await journal.recall("self")) {
      await deliver(journal);
      await showKept();
    }
    at("delivery").textContent = "The hub is there. Everything kept is delivered.";
    await fetchTrip();
  } catch (failure) {
    const waiting = await showKept();
    const why = failure instanceof TypeError || failure.name === "TimeoutError" ? "the hub cannot be reached" : failure.message;
    at("delivery").textContent = `${waiting} kept here and not delivered yet: ${why}. It is tried again by itself.`;
  } finally {
    isDelivering = false;
  }
}

async function batteryOfThisPhone() {
  const battery = await navigator.getBattery?.();
  // A browser that does not know answers with the standard's defaults, which say "full and charging" (W3C Battery Status).
  const isDefault = !battery || (battery.charging && battery.level === 1 && battery.chargingTime === 0 && battery.dischargingTime === Infinity);
  return isDefault ? undefined : battery.level;
}

async function signOfLife() {
  const self = await journal.recall("self");
  const today = new Date().toDateString();
  if (!self || await journal.recall("sign-of-life") === today) {
    return;
  }
  const charge = await batteryOfThisPhone();
  const room = await navigator.storage?.estimate?.();
  const state = {
    node: self.node,
    version: "phone page",
    reportsWaiting: String(self.next - 1 - self.delivered),
    freeDiskBytes: String(Math.max(0, Math.floor((room?.quota ?? 0) - (room?.usage ?? 0)))),
    nextExpectedSeconds: 2 * 86400,
    ...(charge === undefined ? {} : { charge }),
  };
  await journal.append({ agentState: state }, charge === undefined ? "sign of life; the browser does not tell the battery" : `sign of life; battery at ${Math.round(charge * 100)} %`);
  await journal.remember("sign-of-life", today);
}

async function tellStorage() {
  const isKept = await navigator.storage?.persisted?.();
  at("storage").textContent = isKept
    ? "The browser promises to keep this page's storage."
    : "The browser may drop this page's storage when space runs out: put the page on the home screen, deliver often, and save a file when it matters.";
}

at("naming-form").addEventListener("submit", async (event) => {
  event.preventDefault();
  const typedIn = Object.fromEntries(new FormData(event.target));
  await journal.begin(typedIn.node, typedIn.author);
  await navigator.storage?.persist?.();
  await tellStorage();
  await signOfLife();
  await showKept();
  reachHub();
});

at("entry-form").addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = event.target;
  const typedIn = Object.fromEntries(new FormData(form));
  const entry = entries[at("entry-kind").selectedIndex];
  try {
    await journal.append(entry.report(typedIn, await journal.recall("self")), entry.words(typedIn));
    at("entry-said").textContent = `✓ Kept: ${entry.words(typedIn)}`;
    form.reset();
    isTouched = false;
    await journal.remember("draft", null);
  } catch (failure) {
    at("entry-said").textContent = `▲ NOT kept (${failure.message}). Write it on paper; is the phone's storage full?`;
  }
  await showKept();
  reachHub();
});

at("export").addEventListener("click", async () => {
  const file = new Blob([JSON.stringify({ self: await journal.recall("self"), reports: await journal.all() }, null, 2)], { type: "application/json" });
  const link = make("a", { href: URL.createObjectURL(file), download: "kitmesh-phone.json" });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000); // the browser may still be reading it
});

at("entry-kind").replaceChildren(...entries.map((entry) => make("option", { textContent: entry.name })));
at("entry-kind").addEventListener("change", () => { isTouched = false; showFields(); });
at("entry-form").addEventListener("input", () => {
  isTouched = true;
  // What is half typed comes back when the page was closed over it.
  journal.remember("draft", { kind: at("entry-kind").selectedIndex, fields: Object.fromEntries(new FormData(at("entry-form"))) }).catch(() => {});
});
at("light").addEventListener("click", () => {
  const isRed = document.documentElement.dataset.light === "red";
  document.cookie = `light=${isRed ? "system" : "red"}; path=/; max-age=5184000; samesite=strict${location.protocol === "https:" ? "; secure" : ""}`;
  showLight(!isRed);
});
navigator.serviceWorker?.register("/phone-worker.js", { scope: "/phone" });
await signOfLife();
await showKept();
showTrip();
showFields();
await showDraft();
tellStorage();
reachHub();
setInterval(reachHub, every);
addEventListener("online", reachHub);
