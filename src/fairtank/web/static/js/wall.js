// The strip wall: one row for each unit, one column for each day. Only what lies near the window is in the page, so that hundreds of days
// stay smooth; the rest is made when it comes near. Without this script the page shows two weeks at a time.

const NEAR_COLUMNS = 4;
const TWO_WEEKS = 14;
const LABEL_PX = {narrow: 76, wide: 112};
const HEAD_PX = 62;
const SIZES = {small: [88, 66], middle: [136, 102], large: [232, 174]};
const GAP_PX = 4;
const BAR_PX = 18; // of the window's own scroll bar
const DOUBTFUL = 2; // of the codes of quality; a higher one is not used, a lower one needs no word

class Wall {
  constructor(place, told) {
    this.told = told;
    this.window = place.querySelector("[data-wall-window]");
    this.grid = place.querySelector("[data-wall-grid]");
    this.line = place.querySelector("[data-wall-told]");
    this.words = place.dataset;
    this.shots = told.rows.map(row => new Map(row.map(shot => [shot[0], shot])));
    this.marks = Map.groupBy ? Map.groupBy(told.marks, mark => mark[0]) : grouped(told.marks);
    this.at = {row: 0, column: 0};
    this.drawn = new Map();
    this.columns = "all";
    place.hidden = false;
    this.choose(this.window.clientWidth < 600 ? "small" : "middle");
    place.querySelector("[data-wall-size]").value = this.size;
    this.window.addEventListener("scroll", () => this.later(), {passive: true});
    new ResizeObserver(() => this.later()).observe(this.window);
    this.grid.addEventListener("keydown", event => this.key(event));
    this.grid.addEventListener("focusin", event => this.tell(event.target));
    place.querySelector("[data-wall-day]").addEventListener("change", event => this.goTo(Number(event.target.value)));
    place.querySelector("[data-wall-size]").addEventListener("change", event => this.choose(event.target.value));
    place.querySelector("[data-wall-columns]").addEventListener("change", event => { this.columns = event.target.value; this.choose(this.size); });
  }

  // The days that are columns, and the measures of everything.
  choose(size) {
    const day = this.days ? this.days[this.at.column] : null;
    this.size = size;
    [this.width, this.height] = SIZES[size];
    this.label = this.window.clientWidth < 600 ? LABEL_PX.narrow : LABEL_PX.wide;
    const {first, last} = this.told;
    const all = Array.from({length: last - first + 1}, (_, place) => first + place);
    this.days = this.columns === "all" ? all : all.filter(one => this.shots.some(row => row.has(one)));
    this.grid.style.width = `${this.label + this.days.length * (this.width + GAP_PX)}px`;
    const high = HEAD_PX + this.shots.length * (this.height + GAP_PX);
    this.grid.style.height = `${high}px`;
    this.window.style.height = `min(80vh, ${high + BAR_PX}px)`;
    this.grid.setAttribute("aria-rowcount", this.shots.length + 1);
    this.grid.setAttribute("aria-colcount", this.days.length + 1);
    this.grid.classList.toggle("small", size === "small");
    this.grid.replaceChildren();
    this.drawn.clear();
    this.rows = [this.row("wall-head", 0, HEAD_PX, 1), ...this.told.units.map((unit, place) =>
      this.row("wall-row", HEAD_PX + place * (this.height + GAP_PX), this.height, place + 2))];
    const corner = made("div", "wall-name", {role: "columnheader", "aria-colindex": 1});
    corner.textContent = this.words.unit;
    this.rows[0].append(corner);
    this.told.units.forEach((unit, place) => this.rows[place + 1].append(this.name(unit)));
    this.at.column = day === null ? this.days.length - 1 : Math.max(0, this.days.findIndex(one => one >= day));
    this.window.scrollLeft = day === null ? this.days.length * (this.width + GAP_PX) : this.at.column * (this.width + GAP_PX);
    this.draw(0);
    this.later();
  }

  row(kind, top, height, number) {
    const row = made("div", kind, {role: "row", "aria-rowindex": number});
    Object.assign(row.style, {top: `${top}px`, height: `${height}px`});
    this.grid.append(row);
    return row;
  }

  name(unit) {
    const name = made("div", "wall-name", {role: "rowheader", "aria-colindex": 1});
    name.style.width = `${this.label - 8}px`;
    const key = made("strong", "");
    key.textContent = unit.name;
    name.append(key);
    if (unit.letter) {
      const arm = made("span", "wall-arm");
      arm.append(made("span", `arm-line arm-${unit.arm}`, {"aria-hidden": "true"}), ` ${unit.letter}`);
      arm.title = unit.label;
      name.append(arm);
    }
    if (unit.position) {
      const where = made("span", "wall-where");
      where.textContent = unit.position;
      name.append(where);
    }
    return name;
  }

  later() {
    if (this.waits) return;
    this.waits = true;
    requestAnimationFrame(() => { this.waits = false; this.draw(); });
  }

  // Columns near the window, no others; a column that holds the focus stays.
  draw(near = NEAR_COLUMNS) {
    const step = this.width + GAP_PX;
    const {scrollLeft, clientWidth} = this.window;
    const from = Math.max(0, Math.floor(scrollLeft / step) - near);
    const to = Math.min(this.days.length - 1, Math.ceil((scrollLeft + clientWidth - this.label) / step) + near);
    const focused = document.activeElement?.dataset?.column;
    for (const [column, nodes] of this.drawn) {
      if ((column < from || column > to) && String(column) !== focused) {
        nodes.forEach(node => node.remove());
        this.drawn.delete(column);
      }
    }
    for (let column = from; column <= to; column += 1) if (!this.drawn.has(column)) this.drawn.set(column, this.column(column));
    this.tabStop();
  }

  column(column) {
    const left = this.label + column * (this.width + GAP_PX);
    const nodes = [this.head(column), ...this.shots.map((row, place) => this.cell(row, place, column))];
    nodes.forEach((node, place) => {
      node.style.left = `${left}px`;
      node.style.width = `${this.width}px`;
      this.rows[place].append(node);
    });
    return nodes;
  }

  head(column) {
    const day = this.days[column];
    const head = made("div", "wall-day", {role: "columnheader", "aria-colindex": column + 2});
    const number = made("strong", "");
    number.textContent = column === 0 || this.size !== "small" ? this.text("day", {day}) : day;
    head.append(number);
    const marks = this.marks.get(day) ?? [];
    if (marks.length) {
      const mark = made("span", `wall-mark ${marks[0][1]}`);
      const shorts = [...new Set(marks.map(one => one[2]))];
      mark.textContent = this.size === "small" ? shorts[0] : shorts.slice(0, 2).join(", ") + (shorts.length > 2 ? " …" : "");
      head.append(mark);
      head.title = marks.map(one => one[3]).join("\n");
      if (marks[0][1] === "change") head.classList.add("begins");
    }
    const date = made("span", "wall-date");
    date.textContent = this.date(day);
    head.append(date);
    return head;
  }

  date(day) {
    if (!this.told.start) return "";
    const date = new Date(`${this.told.start}T00:00:00Z`);
    date.setUTCDate(date.getUTCDate() + day);
    return date.toISOString().slice(this.size === "small" ? 5 : 2, 10);
  }

  cell(row, place, column) {
    const day = this.days[column];
    const shot = row.get(day);
    const cell = made("div", "wall-cell", {role: "gridcell", "aria-colindex": column + 2});
    const out = this.told.left.find(one => one[0].includes(place) && one[1] <= day && day <= one[2]);
    if ((this.marks.get(day) ?? []).some(mark => mark[1] === "change")) cell.classList.add("begins");
    const inside = made(shot ? "a" : "span", "wall-shot", {tabindex: -1, "data-row": place, "data-column": column});
    if (shot) {
      inside.href = `${this.told.compare}?left=${shot[1]}`;
      const picture = made("img", "", {alt: "", decoding: "async", width: this.width, height: this.height});
      picture.src = this.told.picture.replace("{key}", shot[1]).replace("{stamp}", shot[2]);
      picture.addEventListener("error", () => this.broken(cell, inside));
      inside.append(picture);
      const word = out ? this.words.out : shot[3] >= DOUBTFUL ? this.words[shot[3] === DOUBTFUL ? "doubtful" : "unused"] : "";
      if (word) {
        cell.classList.add(shot[3] === 3 || out ? "unused" : "doubtful");
        const label = made("span", "wall-word");
        label.textContent = word;
        inside.append(label);
      }
      if (shot[4] > 1) {
        const count = made("span", "wall-count");
        count.textContent = `${shot[4]}×`;
        inside.append(count);
      }
    } else {
      cell.classList.add("gap");
      inside.textContent = this.words.none;
    }
    inside.setAttribute("aria-label", this.spoken(place, day, shot, out));
    if (shot) inside.title = inside.getAttribute("aria-label");
    cell.append(inside);
    return cell;
  }

  broken(cell, inside) {
    cell.classList.add("broken");
    inside.querySelector(".wall-word")?.remove();
    const label = made("span", "wall-word");
    label.textContent = this.words.broken;
    inside.append(label);
    inside.setAttribute("aria-label", `${inside.getAttribute("aria-label")}. ${this.words.broken}`);
    inside.title = inside.getAttribute("aria-label");
  }

  spoken(place, day, shot, out) {
    const unit = this.told.units[place].name;
    const parts = [this.text("cell", {unit, day})];
    if (!shot) parts.push(this.words.none);
    else if (shot[3] > 1) parts.push(this.told.reasons[this.told.why[shot[1]]] ?? this.words.unused);
    if (out) parts.push(`${this.words.out}: ${out[3]}`);
    return parts.join(". ");
  }

  text(name, values) {
    return this.words[name].replace(/\{(\w+)\}/g, (_, key) => values[key]);
  }

  tell(target) {
    if (target.dataset.column === undefined) return;
    this.at = {row: Number(target.dataset.row), column: Number(target.dataset.column)};
    const day = this.days[this.at.column];
    this.line.textContent = [target.getAttribute("aria-label"), ...(this.marks.get(day) ?? []).map(mark => mark[3])].join(". ").replace(/\.\./g, ".");
    this.tabStop();
  }

  tabStop() {
    this.grid.querySelector("[tabindex='0']")?.setAttribute("tabindex", "-1");
    this.node()?.setAttribute("tabindex", "0");
  }

  node() {
    return this.drawn.get(this.at.column)?.[this.at.row + 1]?.querySelector(".wall-shot");
  }

  key(event) {
    const moves = {ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0], PageUp: [0, -TWO_WEEKS], PageDown: [0, TWO_WEEKS],
      Home: [0, -this.days.length], End: [0, this.days.length]};
    const move = event.altKey || event.ctrlKey || event.metaKey ? null : moves[event.key];
    if (!move) return;
    event.preventDefault();
    this.focus(this.at.row + move[0], this.at.column + move[1]);
  }

  focus(row, column) {
    this.at = {row: Math.min(Math.max(row, 0), this.shots.length - 1), column: Math.min(Math.max(column, 0), this.days.length - 1)};
    this.show(this.at.column);
    this.draw();
    this.node()?.focus({preventScroll: true});
    this.node()?.closest(".wall-row").scrollIntoView({block: "nearest"});
  }

  show(column) {
    const left = column * (this.width + GAP_PX);
    const wide = this.window.clientWidth - this.label;
    if (left < this.window.scrollLeft) this.window.scrollLeft = left;
    else if (left + this.width > this.window.scrollLeft + wide) this.window.scrollLeft = left + this.width + GAP_PX - wide;
  }

  goTo(day) {
    if (!Number.isFinite(day)) return;
    const column = this.days.findIndex(one => one >= day);
    this.at.column = column < 0 ? this.days.length - 1 : column;
    this.window.scrollLeft = this.at.column * (this.width + GAP_PX);
    this.draw();
  }
}

function made(name, classes, attributes = {}) {
  const node = document.createElement(name);
  if (classes) node.className = classes;
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  return node;
}

function grouped(marks) {
  const found = new Map();
  for (const mark of marks) found.set(mark[0], [...(found.get(mark[0]) ?? []), mark]);
  return found;
}

const place = document.querySelector("[data-wall]");
const begin = () => { globalThis.fairtankWall = new Wall(place, JSON.parse(document.getElementById("wall-data").textContent)); };
if (place && document.visibilityState === "visible") requestAnimationFrame(() => setTimeout(begin)); // the page is painted first
else if (place) begin();
