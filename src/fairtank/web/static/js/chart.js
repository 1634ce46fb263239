// Draws the charts of a page. Each is a <figure data-chart> that holds its description as JSON; see templates/parts/chart.html.
// The drawing program is fetched once, when the first chart comes near the viewport.

const FAMILY = "Atkinson Hyperlegible Next";
const WIDE_PX = 680;
const EDGE_PX = 1; // of the frame
const NEAR = "400px";
const COMMON_FAMILY = `${FAMILY}, sans-serif`;
const dark = matchMedia("(prefers-color-scheme: dark)");
const charts = new Map();
let program = null;

const sizeFor = figure => figure.clientWidth >= WIDE_PX + 2 * EDGE_PX ? "wide" : "narrow";
const theme = () => document.documentElement.dataset.theme || (dark.matches ? "dark" : "light");

function loaded(address) {
  const faces = ["14px", "bold 14px"].map(size => document.fonts.load(`${size} "${FAMILY}"`).catch(() => []));
  program ??= Promise.all([import(new URL(address, document.baseURI)), ...faces]).then(() => globalThis.fairtankDraw)
    .catch(error => { program = null; throw error; }); // the next chart asks again
  return program;
}

class Chart {
  constructor(figure) {
    this.figure = figure;
    this.part = name => figure.querySelector(`[data-chart-${name}]`);
    this.place = this.part("place");
    this.text = figure.querySelector("script[type='application/json']").textContent;
    this.inks = JSON.parse(this.text).inks;
    this.told = document.createElement("p");
    this.told.className = "chart-told";
    this.sheet = document.createElement("div");
    // Spoken on its own, since what lies inside an image is not.
    this.spoken = document.createElement("p");
    this.spoken.className = "chart-spoken";
    this.spoken.setAttribute("aria-live", "polite");
    this.place.append(this.sheet, this.told);
    this.place.after(this.spoken);
    this.place.hidden = false;
    this.part("plain").hidden = true;
    figure.querySelector("details").open = false;
    this.place.addEventListener("keydown", event => this.step(event));
    this.place.addEventListener("blur", () => this.tell(null));
    for (const link of figure.querySelectorAll("[data-keep]")) link.addEventListener("click", event => this.keep(event, link.dataset.keep));
  }

  // The description for this place in the inks of one paper. Names of inks begin with a sign that no text of a page holds.
  spec(paper) {
    this.size = sizeFor(this.figure);
    const inks = this.inks[paper];
    const told = JSON.parse(this.text, (_, value) =>
      typeof value === "string" && value.startsWith("\u0001") ? inks[value.slice(1)] : value);
    this.place.style.maxWidth = `${told[this.size].width + 2 * EDGE_PX}px`;
    return {...told[this.size], datasets: told.rows};
  }

  async draw(paper = theme()) {
    this.paper = paper;
    const turn = this.turn = (this.turn ?? 0) + 1;
    try {
      const embed = await loaded(this.figure.dataset.bundle);
      if (turn !== this.turn) return;
      this.drawn?.finalize();
      this.tell(null);
      this.drawn = await embed(this.sheet, this.spec(paper), {
        ast: true, renderer: "svg", actions: false, defaultStyle: false, tooltip: (_, event, item, value) => this.tell(value ? item : null),
      });
      // The place is one image with its own name.
      for (const node of [this.sheet, ...this.sheet.querySelectorAll("*")]) {
        for (const name of ["role", "aria-label", "aria-roledescription", "aria-hidden"]) node.removeAttribute(name);
      }
      this.place.classList.toggle("in-dark", paper === "dark");
      this.place.classList.add("is-drawn");
      this.part("keep").hidden = false;
      this.figure.dataset.drawn = `${this.size} ${paper}`;
    } catch (error) {
      console.error(error);
      this.place.hidden = true;
      this.part("plain").hidden = false;
      this.figure.querySelector("details").open = true;
      this.figure.dataset.drawn = "not";
    }
  }

  // The marks that tell a value, as they stand in the picture from left to right.
  marks() {
    return [...this.sheet.querySelectorAll("path")].map(node => node.__data__).filter(item => item?.datum?.told)
      .sort((one, other) => one.datum.x - other.datum.x || one.datum.y - other.datum.y);
  }

  // The words stand beside the mark, and a ring round it.
  tell(item) {
    this.at?._svg?.classList.remove("is-told");
    item?._svg.classList.add("is-told");
    this.at = item;
    this.told.textContent = item ? item.datum.told : "";
    if (!item) return;
    const frame = this.place.getBoundingClientRect(), mark = item._svg.getBoundingClientRect(), told = this.told.getBoundingClientRect();
    const left = mark.left + mark.width / 2 - frame.left - told.width / 2, above = mark.top - frame.top - told.height - 2;
    this.told.style.left = `${Math.max(0, Math.min(left, frame.width - told.width - 2))}px`;
    this.told.style.top = `${above >= 0 ? above : mark.bottom - frame.top + 2}px`;
  }

  // Arrow keys go from value to value, Escape puts the words away.
  step(event) {
    const moves = {ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1};
    if (event.key === "Escape") this.tell(null);
    const marks = event.key in moves || event.key === "Home" || event.key === "End" ? this.marks() : [];
    if (!marks.length) return;
    event.preventDefault();
    const now = marks.indexOf(this.at), last = marks.length - 1;
    const next = event.key === "Home" ? 0 : event.key === "End" ? last : now < 0 ? 0 : Math.max(0, Math.min(last, now + moves[event.key]));
    this.tell(marks[next]);
    this.spoken.textContent = this.told.textContent;
  }

  async keep(event, kind) {
    event.preventDefault();
    const made = {svg: () => this.svg(), png: () => this.png(), csv: () => this.csv()};
    const address = URL.createObjectURL(await made[kind]());
    const link = document.createElement("a");
    link.href = address;
    link.download = `${this.figure.dataset.chart}.${kind}`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(address), 10000);
  }

  async svg() {
    const text = await this.drawn.view.toSVG();
    return new Blob([text.replaceAll(`font-family="${FAMILY}"`, `font-family="${COMMON_FAMILY}"`)], {type: "image/svg+xml"});
  }

  async png() {
    const canvas = await this.drawn.view.toCanvas(2);
    return new Promise(resolve => canvas.toBlob(resolve, "image/png"));
  }

  // The table as it stands in the page. A cell that a spreadsheet would take for a formula gets an apostrophe.
  csv() {
    const cell = node => {
      const text = node.textContent.replaceAll("\u00a0", " ").trim();
      return `"${(/^[=+@\t-]/.test(text) ? "'" + text : text).replaceAll('"', '""')}"`;
    };
    const rows = [...this.figure.querySelectorAll("tr")].map(row => [...row.cells].map(cell).join(","));
    return new Blob(["\ufeff" + rows.join("\r\n") + "\r\n"], {type: "text/csv;charset=utf-8"});
  }
}

const near = new IntersectionObserver(entries => {
  for (const entry of entries) {
    if (!entry.isIntersecting) continue;
    near.unobserve(entry.target);
    charts.get(entry.target).draw();
  }
}, {rootMargin: NEAR});

const sizes = new ResizeObserver(entries => {
  for (const entry of entries) {
    const chart = charts.get(entry.target);
    if (chart.drawn && chart.size !== sizeFor(entry.target)) chart.draw();
  }
});

function again(paper) {
  for (const chart of charts.values()) {
    if (chart.drawn && chart.paper !== paper) chart.draw(paper);
  }
}

function begin(root) {
  for (const figure of root.querySelectorAll("figure[data-chart]")) {
    if (charts.has(figure)) continue;
    charts.set(figure, new Chart(figure));
    near.observe(figure);
    sizes.observe(figure);
  }
  for (const [figure, chart] of charts) {
    if (figure.isConnected) continue;
    near.unobserve(figure);
    sizes.unobserve(figure);
    chart.drawn?.finalize();
    charts.delete(figure);
  }
}

dark.addEventListener("change", () => again(theme()));
new MutationObserver(() => again(theme())).observe(document.documentElement, {attributeFilter: ["data-theme"]});
addEventListener("beforeprint", () => again("light"));
addEventListener("afterprint", () => again(theme()));
document.addEventListener("htmx:load", event => begin(event.target.parentElement ?? document));
begin(document);
