// Keeps an open page fresh. The hub only signals that something is new; the page then fetches itself and takes over the
// new content, so that what is shown is made in one place. It never does so under the hands of someone who types, selects
// or has a menu open, and keeps open what was open. When the hub is silent it says since when; the page stays readable.
"use strict";

const leastBetween = 30000; // ms between two renewals, so that a busy hub is not asked all the time
const silentAfter = 60000; // ms without a signal (the hub beats every 20 s)
const freshness = document.getElementById("freshness");
let renewedAt = Date.now();
let heardAt = Date.now();
let isNewer = false;
let isRenewing = false;

const clockText = (ms) => new Intl.DateTimeFormat(undefined, { hour: "numeric", minute: "2-digit" }).format(new Date(ms));

function say(words) {
  if (freshness.textContent !== words) {
    freshness.textContent = words;
  }
}

function tell() {
  const now = Date.now();
  const minutes = Math.floor((now - renewedAt) / 60000);
  const age = minutes < 1 ? "less than a minute old" : minutes === 1 ? "1 minute old" : `${minutes} minutes old`;
  if (now - heardAt > silentAfter) {
    say(`▲ The hub has been silent since ${clockText(heardAt)}. These figures are ${age}.`);
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
  return [...root.querySelectorAll("details")].map((part) => part.open);
}

async function renew() {
  if (isRenewing || !isNewer || document.getElementById("what-if") || document.querySelector(".qr") || isInUse() || Date.now() - renewedAt < leastBetween) {
    return;
  }
  isRenewing = true;
  try {
    const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
    if (!answer.ok) {
      return;
    }
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    const content = fresh.getElementById("content");
    const asOf = fresh.getElementById("as-of");
    if (!content || !asOf) {
      return;
    }
    const open = openParts(document.getElementById("content"));
    const parts = content.querySelectorAll("details");
    if (parts.length === open.length) {
      parts.forEach((part, i) => { part.open = open[i]; });
    }
    document.getElementById("content").replaceChildren(...content.childNodes);
    document.getElementById("as-of").replaceChildren(...asOf.childNodes);
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
  const heard = () => { heardAt = Date.now(); tell(); };
  signal.addEventListener("beat", heard);
  signal.addEventListener("changed", () => {
    // The first one after loading tells what the page shows already; after a lost link it may be new.
    isNewer = isNewer || !isFirst;
    isFirst = false;
    heard();
    renew();
  });
}

// "What if": the answer follows the hand on the slider; the latest question wins, and without scripts the button asks.
const whatIf = document.getElementById("what-if");
if (whatIf) {
  let asked = 0;
  whatIf.querySelector(".by-hand").hidden = true;
  whatIf.addEventListener("input", async (event) => {
    const mine = ++asked;
    const told = event.target.id && whatIf.querySelector(`output[for="${event.target.id}"]`);
    if (told) {
      told.textContent = event.target.value;
    }
    await new Promise((resolve) => { setTimeout(resolve, 150); });
    if (mine !== asked) {
      return;
    }
    const answer = document.getElementById("what-if-answer");
    const link = `/energy/what-if?${new URLSearchParams(new FormData(whatIf))}`;
    answer.setAttribute("aria-busy", "true");
    try {
      const reply = await fetch(link);
      const fresh = reply.ok && new DOMParser().parseFromString(await reply.text(), "text/html").getElementById("what-if-answer");
      if (fresh && mine === asked) {
        answer.replaceChildren(...fresh.childNodes);
        history.replaceState(null, "", link);
      }
    } catch {
      // The hub is away; the page says so by itself.
    } finally {
      answer.removeAttribute("aria-busy");
    }
  });
}

listen();
tell();
setInterval(() => { tell(); renew(); }, 5000);
document.addEventListener("visibilitychange", renew);
