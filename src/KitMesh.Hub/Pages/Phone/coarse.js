// A coarse energy answer without the hub: straight-line bookkeeping from the hub's last outlook. It knows no weather of its
// own, no cold and no charge taper; the hub's outlook does. It says how old its figures are, and widens nothing by itself:
// "without any sun" is the safe line to plan by.

const day = 86400000;

/** Answers for one bank. */
export function coarse(bank, asOf, now) {
  const days = Math.max(0, (now - asOf) / day);
  const out = bank.loadsWh + bank.heaterWh;
  const left = bank.spendableWh - days * (out - bank.sunWh);
  return {
    name: bank.name,
    daysOld: days,
    withoutSun: out > 0 ? Math.max(0, left) / out : Infinity,
    withUsualSun: out > bank.sunWh ? Math.max(0, left) / (out - bank.sunWh) : Infinity,
  };
}

const farAhead = 60; // days; figures of today say nothing of what is further off
const tenths = (value) => value.toLocaleString(undefined, { maximumFractionDigits: 1 });

/** The same in words. */
export function inWords(answer) {
  const sun = answer.withUsualSun > farAhead ? "with the usual sun it holds" : `with the usual sun about ${tenths(answer.withUsualSun)} days`;
  const none = answer.withoutSun === Infinity ? "nothing is drawn from it" : `without any sun about ${tenths(answer.withoutSun)} days`;
  return `${answer.name}: ${none}; ${sun}. From figures ${tenths(answer.daysOld)} days old.`;
}
