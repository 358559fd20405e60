// Brings what the phone keeps to the hub. First it asks what the hub has of this origin, then it sends the rest in
// batches; the hub answers when they are on its disk. Sending twice is harmless: the hub knows a report by origin, number
// and content. If the hub has more than this phone ever wrote, the phone's storage was put back to an older state: then
// what follows gets a new epoch, so that no number is ever used twice.

import { deviceTime } from "/phone/journal.js";

const batch = 200;
const patience = 20000; // ms that one call may take

async function push(self, first, reports) {
  const answer = await fetch("/v1/push", {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({
      origin: { node: self.node, epoch: self.epoch },
      firstSequence: String(first),
      reports,
      clock: deviceTime(),
      clockTrust: "CLOCK_TRUST_HARDWARE_CLOCK",
    }),
    signal: AbortSignal.timeout(patience),
  });
  if (!answer.ok) {
    const told = await answer.json().catch(() => ({}));
    throw new Error(told.message ?? `the hub answered ${answer.status}`);
  }
  const ranges = (await answer.json()).durable?.ranges ?? [];
  return {
    whole: ranges.length > 0 && ranges[0].first === "1" ? Number(ranges[0].last) : 0,
    highest: ranges.length > 0 ? Number(ranges[ranges.length - 1].last) : 0,
  };
}

/** Delivers everything. Returns how many reports the hub holds of this origin. */
export async function deliver(journal) {
  let self = await journal.recall("self");
  let held = await push(self, 1, []);
  if (held.highest >= self.next) {
    await journal.begin(self.node, self.author);
    self = await journal.recall("self");
    held = await push(self, 1, []);
  }
  for (;;) {
    await journal.delivered(self.epoch, held.whole);
    const waiting = await journal.from(self, held.whole + 1, batch);
    if (waiting.length === 0) {
      return held.whole;
    }
    const before = held.whole;
    held = await push(self, waiting[0].sequence, waiting.map((entry) => entry.report));
    if (held.whole <= before) {
      throw new Error("the hub took nothing of what was sent");
    }
  }
}
