// What can be told by phone: for each kind its fields, the report it becomes (the JSON form of kitmesh.v1.Report), and the
// words it is listed under. Only what was typed goes into a report; an empty field is left out, never zero.

const typed = "READING_SOURCE_TYPED";
const number = (text) => (text === "" || text === undefined ? undefined : Number(text));
const percent = (text) => (number(text) === undefined ? undefined : number(text) / 100);
const degrees = (text) => (number(text) === undefined ? undefined : usesFahrenheit ? Math.round((number(text) - 32) / 0.18) / 10 : number(text));
const or = (text, words) => (text === "" || text === undefined ? "" : words);

// Where people are used to °F they type it; reports always carry °C. The regions are those of the hub's pages.
const isPlain = document.cookie.split("; ").includes("units=plain");
const region = new Intl.Locale(navigator.language || "en").region ?? "";
const usesFahrenheit = !isPlain && ["BS", "BZ", "KY", "PR", "PW", "US"].includes(region);
const degreeSign = usesFahrenheit ? "°F" : "°C";

/** Leaves out what is undefined. */
const only = (fields) => Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined));

export const entries = [
  {
    name: "volts and temperature of a bank",
    fields: [
      { name: "pack", label: "Bank or pack", list: ["banks", "packs"] },
      { name: "volts", label: "Volts", unit: "V", min: 0, max: 1000, step: 0.01, required: true },
      { name: "rested", label: "No current has flowed for an hour", kind: "yes" },
      { name: "celsius", label: "Temperature of its cells (the coldest place)", unit: degreeSign, min: -112, max: 212, step: 0.1 },
    ],
    report: (typedIn) => ({
      batteryReading: only({
        pack: typedIn.pack,
        volts: number(typedIn.volts),
        probesCelsius: degrees(typedIn.celsius) === undefined ? [] : [degrees(typedIn.celsius)],
        rested: typedIn.rested === "yes",
        source: typed,
      }),
    }),
    words: (typedIn) => `${typedIn.pack}: ${typedIn.volts} V${typedIn.rested === "yes" ? " at rest" : ""}${or(typedIn.celsius, `, ${typedIn.celsius} ${degreeSign}`)}`,
  },
  {
    name: "charge of a device",
    fields: [
      { name: "load", label: "Device", list: ["loads"] },
      { name: "activity", label: "What it does", choices: [["CHARGE_ACTIVITY_DISCHARGING", "runs from its battery"], ["CHARGE_ACTIVITY_CHARGING", "charging"], ["CHARGE_ACTIVITY_FULL", "full"], ["CHARGE_ACTIVITY_PLUGGED_NOT_CHARGING", "plugged in, not charging"]] },
      { name: "charge", label: "Charge", unit: "%", min: 0, max: 100, step: 1 },
    ],
    report: (typedIn) => ({ loadReading: only({ load: typedIn.load, activity: typedIn.activity, charge: percent(typedIn.charge), source: typed }) }),
    words: (typedIn) => `${typedIn.load}${or(typedIn.charge, `: ${typedIn.charge} %`)}`,
  },
  {
    name: "swapped battery",
    fields: [
      { name: "load", label: "Device", list: ["loads"] },
      { name: "charge", label: "Charge of the battery that is in it now", unit: "%", min: 0, max: 100, step: 1, required: true },
    ],
    // A reading has no room for an author, so a note on the device goes with it.
    report: (typedIn, self) => [
      { loadReading: only({ load: typedIn.load, activity: "CHARGE_ACTIVITY_DISCHARGING", charge: percent(typedIn.charge), source: typed }) },
      { note: { author: self.author, subject: typedIn.load, text: `battery swapped, ${typedIn.charge} %` } },
    ],
    words: (typedIn) => `${typedIn.load}: battery swapped, ${typedIn.charge} %`,
  },
  {
    name: "hours of a panel in the sun today",
    fields: [
      { name: "panel", label: "Panel", list: ["panels"] },
      { name: "hours", label: "Hours", unit: "h", min: 0, max: 24, step: 0.1, required: true },
    ],
    report: (typedIn) => ({ panelReading: { panel: typedIn.panel, sunHours: number(typedIn.hours), source: typed } }),
    words: (typedIn) => `${typedIn.panel}: ${typedIn.hours} hours in the sun`,
  },
  {
    name: "who has a case, drive or device now",
    fields: [
      { name: "item", label: "Case, drive or device", list: ["cases", "drives", "sources"] },
      { name: "into", label: "Is with or in", list: ["people", "cases", "teams", "places"] },
    ],
    report: (typedIn, self) => ({ kitPlaced: { item: typedIn.item, into: typedIn.into, author: self.author } }),
    words: (typedIn) => `${typedIn.item} is now with ${typedIn.into}`,
  },
  {
    name: "timecode set",
    fields: [{ name: "source", label: "Camera or recorder", list: ["sources"] }],
    report: (typedIn, self) => ({ note: { author: self.author, subject: typedIn.source, text: "timecode set" } }),
    words: (typedIn) => `${typedIn.source}: timecode set`,
  },
  {
    name: "card formatted",
    fields: [{ name: "card", label: "Card", list: ["cards"] }],
    report: (typedIn) => ({ cardFormatted: { card: typedIn.card } }),
    words: (typedIn) => `${typedIn.card} formatted`,
  },
  {
    name: "note",
    fields: [{ name: "text", label: "Words", kind: "text", required: true }],
    report: (typedIn, self) => ({ note: { author: self.author, text: typedIn.text } }),
    words: (typedIn) => typedIn.text,
  },
];
