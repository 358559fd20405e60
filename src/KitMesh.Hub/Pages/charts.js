// Draws the hub's charts anew so that they can be read out: the pointer or the arrow keys say the figures of a moment, a part
// can be looked at closer, lines can be put away. Without this file the drawing of the hub stays, with its table beside it.
//
// No meaning hangs on colour alone: lines differ by dashes too, bands by the dashes of their edges, and what is read out is words.
"use strict";

(() => {
  const day = 86400;
  const dashes = [[], [10, 5], [2, 4], [12, 4, 2, 4]];
  const page = document.documentElement;
  const offset = Number(page.dataset.offset ?? 0); // the crew's civil time, in seconds ahead of UTC
  const twelve = page.dataset.hours === "12";
  const drawn = new Map();
  const colour = (name) => getComputedStyle(page).getPropertyValue(name).trim();
  // Made once: a writer of dates costs a slow processor more to make than all the labels of a chart to write.
  const days = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short", timeZone: "UTC" });
  const clock = new Intl.DateTimeFormat("en-GB", { hour: twelve ? "numeric" : "2-digit", minute: "2-digit", hour12: twelve, timeZone: "UTC" });
  const figures = new Intl.NumberFormat("en-GB", { maximumFractionDigits: 1 });
  const shifted = (seconds) => new Date((seconds + offset) * 1000); // to be read as UTC only
  const dayText = (seconds) => days.format(shifted(seconds));
  const clockText = (seconds) => clock.format(shifted(seconds));
  const number = (value) => (value === null || value === undefined ? "not known" : figures.format(value));

  // The library asks for a date whose local getters say what to show; the crew's time is not the browser's.
  const crewDate = (seconds) => {
    const told = new Date(seconds * 1000);
    return new Date(told.getTime() + (offset + told.getTimezoneOffset() * 60) * 1000);
  };

  function axes(unit, wholeDays) {
    const common = { stroke: colour("--soft"), font: "14px system-ui, sans-serif", grid: { stroke: colour("--rule"), width: 1 }, ticks: { show: false } };
    return [
      { ...common, space: 70, values: (_, splits) => splits.map((at) => (wholeDays || (at + offset) % day === 0 ? dayText(at) : clockText(at))) },
      { ...common, size: 76, values: (_, splits) => splits.map((at) => `${number(at)} ${unit}`) },
    ];
  }

  /** Puts a chart into a figure, with its keys and its words. */
  function place(figure, name, options, data, tell) {
    const host = document.createElement("div");
    host.className = "drawing";
    host.tabIndex = 0;
    host.setAttribute("role", "group");
    host.setAttribute("aria-label", `${name}. Left and right read the figures, plus and minus look closer, 0 shows all.`);
    const words = document.createElement("output");
    words.className = "told";
    words.textContent = "Point at the drawing, or go through it with the arrow keys.";
    const picture = figure.querySelector("svg");
    picture.before(host);
    picture.after(words);
    picture.classList.add("replaced");
    let at = data[0].length - 1;
    const plot = new uPlot({
      width: Math.max(240, host.clientWidth),
      height: options.height,
      legend: { show: false },
      tzDate: crewDate,
      cursor: { y: false, points: { size: 8 } },
      hooks: { setCursor: [(chart) => { if (Number.isInteger(chart.cursor.idx)) { at = chart.cursor.idx; words.textContent = tell(at); } }] },
      ...options,
    }, data, host);
    const go = (to) => {
      at = Math.min(data[0].length - 1, Math.max(0, to));
      plot.setCursor({ left: plot.valToPos(data[0][at], "x"), top: 10 });
      words.textContent = tell(at);
    };
    const closer = (by) => {
      const { min, max } = plot.scales.x;
      const half = (max - min) * by / 2;
      const [first, last] = [data[0][0], data[0][data[0].length - 1]];
      const middle = Math.min(Math.max(data[0][at], min), max);
      plot.setScale("x", { min: Math.max(first, middle - half), max: Math.min(last, middle + half) });
    };
    host.addEventListener("keydown", (event) => {
      const keys = {
        ArrowLeft: () => go(at - 1), ArrowRight: () => go(at + 1), PageUp: () => go(at - 24), PageDown: () => go(at + 24),
        Home: () => go(0), End: () => go(data[0].length - 1),
        "+": () => closer(0.5), "=": () => closer(0.5), "-": () => closer(2),
        0: () => plot.setScale("x", { min: data[0][0], max: data[0][data[0].length - 1] }),
      };
      if (!event.ctrlKey && !event.metaKey && !event.altKey && Object.hasOwn(keys, event.key)) {
        keys[event.key]();
        event.preventDefault();
      }
    });
    const watcher = new ResizeObserver(() => { if (host.clientWidth > 0) { plot.setSize({ width: host.clientWidth, height: options.height }); } });
    watcher.observe(host);
    drawn.set(figure, () => { watcher.disconnect(); plot.destroy(); host.remove(); words.remove(); });
    figure.dataset.drawn = "yes";
    return plot;
  }

  function drawFan(figure) {
    const fan = JSON.parse(figure.dataset.fan);
    const noon = fan.days.map((text) => Date.parse(`${text}T12:00:00Z`) / 1000 - offset);
    const line = colour("--line");
    const edge = (dash, width) => ({ stroke: line, width, dash, points: { show: false } });
    place(figure, figure.querySelector("svg").getAttribute("aria-label"), {
      height: 260,
      scales: { y: { range: [0, 100] } },
      axes: axes("%", true),
      series: [{}, edge([2, 4], 1), edge([8, 4], 1), edge([], 3), edge([8, 4], 1), edge([2, 4], 1)],
      bands: [{ series: [1, 5], fill: colour("--wide") }, { series: [2, 4], fill: colour("--narrow") }],
    }, [noon, fan.p95, fan.p75, fan.p50, fan.p25, fan.p05], (i) =>
      `${dayText(noon[i])}: middle path ${number(fan.p50[i])} %, half of all paths from ${number(fan.p25[i])} to ${number(fan.p75[i])} %, nine in ten from ${number(fan.p05[i])} to ${number(fan.p95[i])} %.`);
  }

  async function drawHistory(figure) {
    const began = performance.now();
    const answer = await fetch(figure.dataset.link);
    if (!answer.ok) {
      return; // the hub's own drawing stays
    }
    const told = await answer.json();
    if (told.lines.length === 0 || !figure.isConnected) {
      return;
    }
    const { unit, name } = figure.dataset;
    const hours = Array.from({ length: told.hours }, (_, i) => told.firstHour + i * 3600 + 1800);
    const plot = place(figure, `${name}, ${told.lines.length} lines`, {
      height: 380,
      axes: axes(unit, told.hours > 6 * 24),
      series: [{}, ...told.lines.map((one, i) => ({ label: one.name, stroke: colour(`--c${i % 5}`), width: 2, dash: dashes[Math.floor(i / 5) % 4], points: { show: false }, spanGaps: false }))],
    }, [hours, ...told.lines.map((one) => one.means)], (i) =>
      `${dayText(hours[i])} ${clockText(hours[i] - 1800)}: ${told.lines.map((one, at) => (plot.series[at + 1].show && one.means[i] !== null ? `${one.name} ${number(one.means[i])} ${unit}` : "")).filter(Boolean).join("; ") || "nothing known"}.`);
    addSwitches(plot);
    performance.measure("kitmesh-history", { start: began, end: performance.now() });
  }

  /** A box before each line of the table puts the line away or brings it back. */
  function addSwitches(plot) {
    document.querySelectorAll("#history-lines tbody tr").forEach((row, i) => {
      const box = Object.assign(document.createElement("input"), { type: "checkbox", checked: true });
      box.setAttribute("aria-label", `draw ${plot.series[i + 1].label}`);
      box.addEventListener("change", () => plot.setSeries(i + 1, { show: box.checked }));
      row.querySelector("input")?.remove();
      row.querySelector("th").prepend(box, " ");
    });
  }

  function drawAll() {
    for (const end of drawn.values()) {
      end();
    }
    drawn.clear();
    document.querySelectorAll("figure[data-fan]").forEach(drawFan);
    const history = document.getElementById("history");
    if (history) {
      drawHistory(history).catch(() => {}).finally(() => document.dispatchEvent(new Event("kitmesh-drawn"))); // no hub: its drawing stays
    }
  }

  drawAll();
  document.addEventListener("kitmesh-renewed", drawAll);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", drawAll);
})();
