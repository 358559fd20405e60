// Keeps an open page fresh, and lets a link change the page in place. The hub only signals that something is new; the page then
// fetches itself and takes over the new content, so that what is shown is made in one place. It never does so under the hands
// of someone who types, selects or has a menu open, and keeps open what was open. When the hub is silent it says since when; the
// page stays readable. Links go through the framework's enhanced navigation: the document, its signal and its scripts stay.
"use strict";

const leastBetween = 30000; // ms between two renewals, so that a busy hub is not asked all the time
const leastForOutlook = 4000; // the same for a page that waits for a newer outlook
const silentAfter = 60000; // ms without a signal (the hub beats every 20 s)
let renewedAt = Date.now();
let heardAt = Date.now();
let isNewer = false;
let isRenewing = false;
let isNavigating = false;
let newestOutlook = 0;
let shown = location.href; // the address of what is shown
let failedLink = "";

const part = (id) => document.getElementById(id);
const clockText = (ms) => new Intl.DateTimeFormat(undefined, { hour: "numeric", minute: "2-digit" }).format(new Date(ms));

function say(words) {
  const freshness = part("freshness");
  if (freshness && freshness.textContent !== words) {
    freshness.textContent = words;
  }
}

function tell() {
  const now = Date.now();
  const minutes = Math.floor((now - renewedAt) / 60000);
  const age = minutes < 1 ? "less than a minute old" : minutes === 1 ? "1 minute old" : `${minutes} minutes old`;
  if (now - heardAt > silentAfter) {
    say(`▲ The hub has been silent since ${clockText(heardAt)}. These figures are ${age}.`);
  } else if (failedLink) {
    say(`▲ The hub did not answer for "${failedLink}": this is still the page before, ${age}. Try again.`);
  } else {
    say(`Live. These figures are ${age}.`);
  }
}

function isInUse() {
  const active = document.activeElement;
  const types = active && active.closest("#content") && active.matches("input, select, textarea, .drawing");
  return document.hidden || types || String(document.getSelection()).length > 0;
}

function openParts(root) {
  return [...root.querySelectorAll("details")].map((one) => one.open);
}

/** Whether the page shows an outlook and the hub has a newer one. */
const hasNewerOutlook = () => part("older") !== null && newestOutlook > Number(part("older").dataset.number);

function isTooEarly() {
  const since = Date.now() - renewedAt;
  return hasNewerOutlook() ? since < leastForOutlook : !isNewer || since < leastBetween;
}

async function renew() {
  if (isRenewing || isNavigating || isTooEarly() || part("what-if") || document.querySelector(".qr") || isInUse()) {
    return;
  }
  isRenewing = true;
  const link = shown;
  try {
    const answer = await fetch(link, { headers: { Accept: "text/html" } });
    const fresh = answer.ok ? new DOMParser().parseFromString(await answer.text(), "text/html") : null;
    const content = fresh?.getElementById("content");
    const asOf = fresh?.getElementById("as-of");
    if (!content || !asOf || isNavigating || link !== shown || isInUse()) {
      return;
    }
    const open = openParts(part("content"));
    const parts = content.querySelectorAll("details");
    if (parts.length === open.length) {
      parts.forEach((one, i) => { one.open = open[i]; });
    }
    part("content").replaceChildren(...content.childNodes);
    part("as-of").replaceChildren(...asOf.childNodes);
    renewedAt = Date.now();
    isNewer = false;
    document.dispatchEvent(new Event("kitmesh-renewed"));
  } catch {
    // The hub is away; the signal's own silence tells it.
  } finally {
    isRenewing = false;
    tell();
  }
}

function listen() {
  const signal = new EventSource("/live");
  let isFirst = true;
  const heard = (event) => {
    heardAt = Date.now();
    newestOutlook = Math.max(newestOutlook, Number(event.data.split(" ")[1] ?? 0));
    tell();
    renew();
  };
  signal.addEventListener("beat", heard);
  signal.addEventListener("outlook", heard);
  signal.addEventListener("changed", (event) => {
    // The first one after loading tells what the page shows already; after a lost link it may be new.
    isNewer = isNewer || !isFirst;
    isFirst = false;
    heard(event);
  });
  signal.addEventListener("error", () => { newestOutlook = 0; }); // another run of the hub counts anew
}

// "What if": the answer follows the hand on the slider; the latest question wins, and without scripts the button asks.
let asked = 0;

async function workOut(form) {
  const mine = ++asked;
  await new Promise((resolve) => { setTimeout(resolve, 150); });
  if (mine !== asked || !form.isConnected) {
    return;
  }
  const answer = part("what-if-answer");
  const link = `/what-if?${new URLSearchParams(new FormData(form))}`;
  answer.setAttribute("aria-busy", "true");
  try {
    const reply = await fetch(link);
    const fresh = reply.ok && new DOMParser().parseFromString(await reply.text(), "text/html");
    if (fresh && fresh.getElementById("what-if-answer") && mine === asked && form.isConnected) {
      answer.replaceChildren(...fresh.getElementById("what-if-answer").childNodes);
      if (!fresh.getElementById("older")) {
        part("older")?.remove();
      }
      history.replaceState(null, "", link);
      shown = location.href;
      renewedAt = Date.now();
    }
  } catch {
    // The hub is away; the page says so by itself.
  } finally {
    answer.removeAttribute("aria-busy");
  }
}

document.addEventListener("input", (event) => {
  const form = event.target.closest?.("#what-if");
  if (!form) {
    return;
  }
  const told = event.target.id && form.querySelector(`output[for="${event.target.id}"]`);
  if (told) {
    told.textContent = event.target.value;
  }
  workOut(form);
});

/** What a page needs once it is there, by whichever way it came. */
function settle() {
  part("what-if")?.querySelector(".by-hand")?.setAttribute("hidden", "");
  if (document.querySelector("figure.chart") && !window.kitmeshCharts) {
    window.kitmeshCharts = true;
    for (const source of ["/uplot.js", "/charts.js"]) {
      // Scripts that a page brings in place do not run by themselves.
      document.head.append(Object.assign(document.createElement("script"), { src: source, async: false }));
    }
  }
}

/** Someone who reads by ear or keyboard begins at the top of the new page, or where the link points. */
function moveFocus(before) {
  const target = (location.hash && part(decodeURIComponent(location.hash.slice(1)))) || (new URL(before).pathname === location.pathname ? null : document.querySelector("h1"));
  if (target) {
    target.tabIndex = -1;
    target.focus({ preventScroll: true });
  }
}

function navigateInPlace() {
  const script = Object.assign(document.createElement("script"), { src: "/_framework/blazor.web.js" });
  script.addEventListener("load", () => {
    Blazor.addEventListener("enhancednavigationstart", () => { isNavigating = true; });
    Blazor.addEventListener("enhancedload", () => {
      const before = shown;
      shown = location.href;
      renewedAt = Date.now();
      isNewer = false;
      failedLink = "";
      asked++;
      settle();
      moveFocus(before);
      document.dispatchEvent(new Event("kitmesh-renewed"));
      tell();
    });
    Blazor.addEventListener("enhancednavigationend", () => { isNavigating = false; });
    addEventListener("unhandledrejection", (event) => {
      if (isNavigating) {
        // The hub did not answer: the address goes back to what is shown.
        event.preventDefault();
        isNavigating = false;
        failedLink = new URL(location.href).pathname;
        history.replaceState(null, "", shown);
        tell();
      }
    });
    window.kitmeshNavigates = true;
  });
  document.body.append(script);
}

window.kitmeshCharts = document.querySelector("script[src='/charts.js']") !== null;
settle();
listen();
tell();
setInterval(() => {
  tell();
  renew();
  if (part("what-if") && part("older") && !document.hidden) {
    workOut(part("what-if")); // its basis was not of now
  }
}, 5000);
document.addEventListener("visibilitychange", renew);

/** Reading comes before clicking: the first paint, then the drawing that the hub is asked for, then the links. */
function navigateWhenDrawn() {
  if (!document.querySelector("#history:not([data-drawn])")) {
    navigateInPlace();
    return;
  }
  let isBegun = false;
  const begin = () => {
    if (!isBegun) {
      isBegun = true;
      navigateInPlace();
    }
  };
  document.addEventListener("kitmesh-drawn", begin, { once: true });
  setTimeout(begin, 2000); // a hub that does not answer must not keep the links
}

if (document.readyState === "complete") {
  navigateWhenDrawn();
} else {
  addEventListener("load", navigateWhenDrawn);
}
