// The phone's own journal, in the browser's database.
//
// The phone is an origin like an agent: a node name, a random epoch, and sequence numbers from 1 without gaps. The trap is
// that two open windows of this page share one journal. So a number is given out inside the same transaction that writes
// the report: either both are there or neither. "Kept" is said only after the transaction completed with strict
// durability; "delivered" only after the hub answered that the report is on its disk. Reports are never deleted here: a hub
// that lost its disk can ask for them again.
//
// The hybrid logical clock follows Kulkarni et al., "Logical Physical Clocks" (OPODIS 2014): 48 bits of milliseconds and a
// counter of 16 bits, never taken further ahead than five minutes.

const driftLimit = 5n * 60n * 1000n;
const counterBits = 16n;
const boot = randomBits64();

/** 64 random bits as decimal text: JSON numbers keep only 53. */
export function randomBits64() {
  return crypto.getRandomValues(new BigUint64Array(1))[0].toString();
}

/** What this phone's clocks say now, as the protocol's DeviceTime. */
export function deviceTime() {
  return {
    wallUnixNanos: (BigInt(Date.now()) * 1000000n).toString(),
    boot,
    monotonicNanos: BigInt(Math.floor(performance.now() * 1000)) * 1000n + "",
  };
}

function nextHybrid(last, wall) {
  const physical = BigInt(Math.max(0, wall));
  const lastMilliseconds = last >> counterBits;
  return physical > lastMilliseconds || lastMilliseconds - physical > driftLimit ? physical << counterBits : last + 1n;
}

const asPromise = (request) => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

const completion = (transaction) => new Promise((resolve, reject) => {
  transaction.oncomplete = () => resolve();
  transaction.onerror = () => reject(transaction.error);
  transaction.onabort = () => reject(transaction.error ?? new Error("the browser gave the write up"));
});

export class Journal {
  #database;

  static async open() {
    const journal = new Journal();
    const opening = indexedDB.open("kitmesh-phone", 1);
    opening.onupgradeneeded = () => {
      opening.result.createObjectStore("facts");
      opening.result.createObjectStore("reports", { keyPath: ["epoch", "sequence"] });
    };
    journal.#database = await asPromise(opening);
    return journal;
  }

  /** One remembered fact: "self", "trip". */
  async recall(name) {
    return asPromise(this.#database.transaction("facts").objectStore("facts").get(name));
  }

  async remember(name, value) {
    const transaction = this.#database.transaction("facts", "readwrite", { durability: "strict" });
    transaction.objectStore("facts").put(value, name);
    await completion(transaction);
  }

  /** Names this phone: a new origin. */
  async begin(node, author) {
    await this.remember("self", { node, author, epoch: randomBits64(), next: 1, hybrid: "0", delivered: 0 });
  }

  /** Writes one report, or several that belong together: all or none. When this returns, they are kept. */
  async append(bodies, words) {
    const transaction = this.#database.transaction(["facts", "reports"], "readwrite", { durability: "strict" });
    const facts = transaction.objectStore("facts");
    const done = completion(transaction);
    const self = await asPromise(facts.get("self"));
    let hybrid = BigInt(self.hybrid);
    let next = self.next;
    for (const body of [bodies].flat()) {
      hybrid = nextHybrid(hybrid, Date.now());
      transaction.objectStore("reports").put({
        epoch: self.epoch,
        sequence: next,
        words,
        writtenAt: Date.now(),
        report: { hybridTime: hybrid.toString(), ...deviceTime(), ...body },
      });
      next += 1;
    }
    facts.put({ ...self, next, hybrid: hybrid.toString() }, "self");
    await done;
  }

  /** Reports of the present epoch from a sequence on, at most a batch. */
  async from(self, sequence, most) {
    const range = IDBKeyRange.bound([self.epoch, sequence], [self.epoch, Number.MAX_SAFE_INTEGER]);
    return asPromise(this.#database.transaction("reports").objectStore("reports").getAll(range, most));
  }

  /** Every report of every epoch. */
  async all() {
    return asPromise(this.#database.transaction("reports").objectStore("reports").getAll());
  }

  /** Notes up to where the hub holds everything on disk. It may step back: a hub can lose its disk. */
  async delivered(epoch, sequence) {
    const transaction = this.#database.transaction("facts", "readwrite", { durability: "strict" });
    const facts = transaction.objectStore("facts");
    const done = completion(transaction);
    const self = await asPromise(facts.get("self"));
    if (self.epoch === epoch) {
      facts.put({ ...self, delivered: sequence }, "self");
    }
    await done;
  }
}
