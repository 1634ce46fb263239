// Strokes painted on a photo. What is painted is kept as a class for each px, so that every px has exactly one class and no colour blurs;
// undo keeps the changed piece of each stroke. Sent are runs of px of one class.

const UNPAINTED = 255;
const MOST_KEPT_PX = 40e6; // in all pieces that undo holds
const MOST_TIMES = 12;
const STEP_OF_ZOOM = 1.4;

class Pixels {
  constructor({width, height, runs, classes}) {
    Object.assign(this, {width, height, classes});
    this.numbers = new Uint8Array(width * height).fill(UNPAINTED);
    let at = 0;
    for (let place = 0; place < runs.length; place += 2) {
      if (runs[place] >= 0) this.numbers.fill(runs[place], at, at + runs[place + 1]);
      at += runs[place + 1];
    }
    this.undone = [];
    this.done = [];
    this.dirty = null;
  }

  begin() {
    this.before = this.numbers.slice();
    this.dirty = null;
  }

  // A round brush drawn from one place to another: every px whose middle lies in it gets the class.
  line(x0, y0, x1, y1, radius, kind) {
    const steps = Math.max(1, Math.ceil(Math.hypot(x1 - x0, y1 - y0) / Math.max(radius / 2, 0.5)));
    for (let step = 0; step <= steps; step += 1) this.disc(x0 + (x1 - x0) * step / steps, y0 + (y1 - y0) * step / steps, radius, kind);
  }

  disc(x, y, radius, kind) {
    const top = Math.max(0, Math.floor(y - radius));
    const bottom = Math.min(this.height - 1, Math.ceil(y + radius));
    for (let row = top; row <= bottom; row += 1) {
      const half = Math.sqrt(Math.max(0, radius * radius - (row + 0.5 - y) ** 2));
      const left = Math.max(0, Math.round(x - half));
      const right = Math.min(this.width, Math.round(x + half));
      if (right > left) {
        this.numbers.fill(kind, row * this.width + left, row * this.width + right);
        this.touch(left, row, right, row + 1);
      }
    }
  }

  touch(left, top, right, bottom) {
    const box = this.dirty;
    this.dirty = box ? [Math.min(box[0], left), Math.min(box[1], top), Math.max(box[2], right), Math.max(box[3], bottom)] : [left, top, right, bottom];
  }

  piece(numbers, [left, top, right, bottom]) {
    const wide = right - left;
    const found = new Uint8Array(wide * (bottom - top));
    for (let row = top; row < bottom; row += 1) found.set(numbers.subarray(row * this.width + left, row * this.width + right), (row - top) * wide);
    return found;
  }

  // The stroke is over: what it changed can be undone.
  end() {
    if (this.dirty) {
      this.done.push({box: this.dirty, before: this.piece(this.before, this.dirty), after: this.piece(this.numbers, this.dirty)});
      this.undone = [];
      while (this.done.length > 1 && this.done.reduce((sum, one) => sum + 2 * one.before.length, 0) > MOST_KEPT_PX) this.done.shift();
    }
    this.before = null;
    const box = this.dirty;
    this.dirty = null;
    return box;
  }

  drop() {
    const box = this.dirty;
    if (box) this.put(box, this.piece(this.before, box));
    this.before = this.dirty = null;
    return box;
  }

  put([left, top, right, bottom], piece) {
    const wide = right - left;
    for (let row = top; row < bottom; row += 1) this.numbers.set(piece.subarray((row - top) * wide, (row - top + 1) * wide), row * this.width + left);
  }

  undo(from = this.done, to = this.undone, which = "before") {
    const last = from.pop();
    if (!last) return null;
    this.put(last.box, last[which]);
    to.push(last);
    return last.box;
  }

  redo() {
    return this.undo(this.undone, this.done, "after");
  }

  runs() {
    const found = [];
    for (let at = 0; at < this.numbers.length;) {
      const kind = this.numbers[at];
      let to = at + 1;
      while (to < this.numbers.length && this.numbers[to] === kind) to += 1;
      found.push(kind === UNPAINTED ? -1 : kind, to - at);
      at = to;
    }
    return found;
  }
}

class Easel {
  constructor(place, told) {
    const part = name => place.querySelector(`[data-${name}]`);
    Object.assign(this, {place, told, words: place.dataset, part, pixels: new Pixels(told), kind: 0, pointers: new Map(), cursor: null, strokes: 0,
      saved: true, isDown: false, moves: false});
    [this.easel, this.board, this.canvas, this.ring, this.line] = ["easel", "board", "canvas", "ring", "told"].map(part);
    this.canvas.width = told.width;
    this.canvas.height = told.height;
    this.inks = this.canvas.getContext("2d");
    Object.assign(this.board.style, {width: `${told.width}px`, height: `${told.height}px`});
    place.hidden = false;
    this.easel.style.aspectRatio = `${told.width} / ${told.height}`;
    this.easel.style.maxWidth = `calc((100vh - 5rem) * ${told.width / told.height})`; // seen whole at once
    this.brushes();
    this.fit();
    this.colour([0, 0, told.width, told.height]);
    this.shown();
    this.listen();
  }

  listen() {
    const easel = this.easel;
    easel.addEventListener("pointerdown", event => this.down(event));
    easel.addEventListener("pointermove", event => this.move(event));
    for (const name of ["pointerup", "pointercancel"]) easel.addEventListener(name, event => this.up(event));
    easel.addEventListener("pointerleave", () => { if (!this.isDown) this.ring.hidden = true; });
    easel.addEventListener("keydown", event => this.key(event));
    easel.addEventListener("wheel", event => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      this.zoom(Math.exp(-event.deltaY / 300), ...this.inEasel(event));
    }, {passive: false});
    document.addEventListener("keydown", event => {
      if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z") return;
      event.preventDefault();
      this.act(event.shiftKey ? "redo" : "undo");
    });
    this.place.addEventListener("click", event => { const name = event.target.closest("[data-do]")?.dataset.do; if (name) this.act(name); });
    this.part("shown").addEventListener("input", () => this.shown());
    this.part("taught-shown").addEventListener("input", () => this.shown());
    addEventListener("beforeunload", event => { if (!this.saved) event.preventDefault(); });
    new ResizeObserver(() => this.keepInside()).observe(easel);
  }

  brushes() {
    const names = [...this.told.classes.map(one => one.key), this.words.eraser];
    this.buttons = names.map((name, place) => {
      const button = document.createElement("button");
      const isEraser = place === names.length - 1;
      button.type = "button";
      button.className = "quiet brush";
      const swatch = document.createElement("span");
      swatch.className = `swatch${isEraser ? " eraser" : ""}`;
      if (!isEraser) swatch.style.background = `rgb(${this.told.classes[place].rgb.join(" ")})`;
      const key = document.createElement("kbd");
      key.textContent = isEraser ? "E" : place + 1;
      button.append(swatch, ` ${name} `, key);
      button.addEventListener("click", () => this.choose(isEraser ? UNPAINTED : place));
      return button;
    });
    this.part("brushes").append(...this.buttons);
    this.choose(0);
  }

  choose(kind) {
    this.kind = kind;
    this.buttons.forEach((button, place) => button.setAttribute("aria-pressed", String((kind === UNPAINTED ? this.buttons.length - 1 : kind) === place)));
  }

  get radius() {
    return Number(this.part("size").value) / 2 * this.told.width / 1000;
  }

  // How the board lies in the easel.
  lay() {
    this.board.style.transform = `translate(${this.x}px, ${this.y}px) scale(${this.scale})`;
    if (!this.ring.hidden && this.cursor) this.showRing(...this.cursor);
  }

  fit() {
    this.scale = this.easel.clientWidth / this.told.width;
    this.x = this.y = 0;
    this.lay();
  }

  zoom(times, x = this.easel.clientWidth / 2, y = this.easel.clientHeight / 2) {
    const least = this.easel.clientWidth / this.told.width;
    const scale = Math.min(Math.max(this.scale * times, least), least * MOST_TIMES);
    this.x = x - (x - this.x) * scale / this.scale;
    this.y = y - (y - this.y) * scale / this.scale;
    this.scale = scale;
    this.keepInside();
  }

  keepInside() {
    this.scale = Math.max(this.scale, this.easel.clientWidth / this.told.width);
    this.x = Math.min(0, Math.max(this.x, this.easel.clientWidth - this.told.width * this.scale));
    this.y = Math.min(0, Math.max(this.y, this.easel.clientHeight - this.told.height * this.scale));
    this.lay();
  }

  inEasel(event) {
    const box = this.easel.getBoundingClientRect();
    return [event.clientX - box.left - this.easel.clientLeft, event.clientY - box.top - this.easel.clientTop];
  }

  onBoard(event) {
    const [x, y] = this.inEasel(event);
    return [(x - this.x) / this.scale, (y - this.y) / this.scale];
  }

  down(event) {
    if (event.button > 1) return;
    this.easel.setPointerCapture(event.pointerId);
    this.pointers.set(event.pointerId, this.inEasel(event));
    if (this.pointers.size === 2) { this.stop(true); return; }
    if (this.pointers.size > 2 || this.moves || event.button === 1) return;
    this.easel.focus({preventScroll: true});
    this.cursor = this.onBoard(event);
    this.start();
    this.paint(...this.cursor);
  }

  move(event) {
    const before = this.pointers.get(event.pointerId);
    const now = this.inEasel(event);
    if (!before) { this.showRing(...this.onBoard(event)); return; }
    if (this.isPainting) {
      for (const one of event.getCoalescedEvents?.().length ? event.getCoalescedEvents() : [event]) this.paint(...this.onBoard(one));
      this.showRing(...this.cursor);
    } else if (this.pointers.size === 1) {
      this.x += now[0] - before[0];
      this.y += now[1] - before[1];
      this.keepInside();
    } else if (this.pointers.size === 2) {
      const other = [...this.pointers].find(([key]) => key !== event.pointerId)[1];
      const apart = point => Math.hypot(point[0] - other[0], point[1] - other[1]);
      this.x += (now[0] - before[0]) / 2;
      this.y += (now[1] - before[1]) / 2;
      this.zoom(apart(now) / Math.max(apart(before), 1), (now[0] + other[0]) / 2, (now[1] + other[1]) / 2);
    }
    this.pointers.set(event.pointerId, now);
  }

  up(event) {
    if (!this.pointers.delete(event.pointerId)) return;
    if (this.isPainting) this.stop(event.type === "pointercancel");
  }

  start() {
    this.pixels.begin();
    this.isPainting = true;
  }

  paint(x, y) {
    const [fromX, fromY] = this.cursor;
    const radius = this.radius;
    this.pixels.line(fromX, fromY, x, y, radius, this.kind);
    this.cursor = [x, y];
    const reach = Math.ceil(radius) + 1;
    this.colour([Math.min(fromX, x) - reach, Math.min(fromY, y) - reach, Math.max(fromX, x) + reach, Math.max(fromY, y) + reach]);
  }

  stop(isDropped = false) {
    if (!this.isPainting) return;
    this.isPainting = false;
    const box = isDropped ? this.pixels.drop() : this.pixels.end();
    if (!box) return;
    this.colour(box);
    if (!isDropped) { this.strokes += 1; this.changed(); }
  }

  changed() {
    this.saved = false;
    this.say(this.words.count.replace("{count}", this.strokes));
  }

  say(text, isRefusal = false) {
    this.line.textContent = text;
    this.line.classList.toggle("refusal", isRefusal);
  }

  // The canvas brought in step with the classes, in one piece of it.
  colour(box) {
    const [left, top] = [Math.max(0, Math.floor(box[0])), Math.max(0, Math.floor(box[1]))];
    const [right, bottom] = [Math.min(this.told.width, Math.ceil(box[2])), Math.min(this.told.height, Math.ceil(box[3]))];
    if (right <= left || bottom <= top) return;
    const piece = this.inks.createImageData(right - left, bottom - top);
    const words = new Uint32Array(piece.data.buffer);
    this.palette ??= this.told.classes.map(({rgb}) => new Uint32Array(Uint8Array.of(...rgb, 255).buffer)[0]);
    for (let row = top, at = 0; row < bottom; row += 1) {
      for (let column = left, from = row * this.told.width + left; column < right; column += 1, from += 1, at += 1) {
        const kind = this.pixels.numbers[from];
        words[at] = kind === UNPAINTED ? 0 : this.palette[kind];
      }
    }
    this.inks.putImageData(piece, left, top);
  }

  showRing(x, y) {
    const size = 2 * this.radius * this.scale;
    this.ring.hidden = false;
    Object.assign(this.ring.style, {width: `${size}px`, height: `${size}px`,
      transform: `translate(${x * this.scale + this.x - size / 2}px, ${y * this.scale + this.y - size / 2}px)`});
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const moves = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]};
    const acts = {"+": "in", "=": "in", "-": "out", "0": "fit", t: "teach", T: "teach"};
    if (moves[event.key]) this.arrow(moves[event.key], event.shiftKey);
    else if (event.key === " ") this.pen();
    else if (acts[event.key]) this.act(acts[event.key]);
    else if (event.key.toLowerCase() === "e") this.choose(UNPAINTED);
    else if (/^[1-9]$/.test(event.key) && this.told.classes[event.key - 1]) this.choose(event.key - 1);
    else if (event.key === "[" || event.key === "]") this.part("size").value = Number(this.part("size").value) * (event.key === "]" ? 1.25 : 0.8);
    else return;
    event.preventDefault();
  }

  arrow([across, down], isMoving) {
    if (isMoving) {
      this.x -= across * 60;
      this.y -= down * 60;
      this.keepInside();
      return;
    }
    this.cursor ??= [(this.easel.clientWidth / 2 - this.x) / this.scale, (this.easel.clientHeight / 2 - this.y) / this.scale];
    const step = Math.max(1, this.radius);
    const to = [Math.min(Math.max(this.cursor[0] + across * step, 0), this.told.width), Math.min(Math.max(this.cursor[1] + down * step, 0), this.told.height)];
    if (this.isDown) this.paint(...to);
    this.cursor = to;
    this.follow();
    this.showRing(...to);
  }

  // Keeps the brush in sight when keys move it.
  follow() {
    const [x, y] = [this.cursor[0] * this.scale + this.x, this.cursor[1] * this.scale + this.y];
    this.x -= Math.min(0, x) + Math.max(0, x - this.easel.clientWidth);
    this.y -= Math.min(0, y) + Math.max(0, y - this.easel.clientHeight);
    this.keepInside();
  }

  pen() {
    this.cursor ??= [(this.easel.clientWidth / 2 - this.x) / this.scale, (this.easel.clientHeight / 2 - this.y) / this.scale];
    this.isDown = !this.isDown;
    if (this.isDown) { this.start(); this.paint(...this.cursor); this.say(this.words.pen); }
    else { this.stop(); this.say(this.words.up); }
    this.showRing(...this.cursor);
  }

  act(name) {
    if (this.isDown && name !== "in" && name !== "out" && name !== "fit") this.pen();
    if (name === "undo" || name === "redo") {
      const box = this.pixels[name]();
      if (box) { this.colour(box); this.strokes += name === "undo" ? -1 : 1; this.changed(); }
    } else if (name === "in" || name === "out") this.zoom(name === "in" ? STEP_OF_ZOOM : 1 / STEP_OF_ZOOM);
    else if (name === "fit") this.fit();
    else if (name === "move") {
      this.moves = !this.moves;
      this.place.querySelector("[data-do='move']").setAttribute("aria-pressed", String(this.moves));
    } else if (name === "keep" || name === "next") this.keep(name === "next");
    else if (name === "teach") this.teach();
  }

  shown() {
    this.canvas.style.opacity = this.part("shown").value / 100;
    this.part("taught").style.opacity = this.part("taught-shown").value / 100;
  }

  send(address) {
    const token = document.querySelector("[name='csrfmiddlewaretoken']").value;
    return fetch(address, {method: "POST", headers: {"X-CSRFToken": token, "Content-Type": "application/json"}, body: JSON.stringify({runs: this.pixels.runs()})});
  }

  async keep(goesOn) {
    const answer = await this.send(this.told.store + (goesOn ? "?then=next" : "")).catch(() => null);
    const told = answer && await answer.json().catch(() => null);
    if (!told || told.error) { this.say(told?.error ?? this.words.unsent, true); return; }
    this.saved = true;
    this.say(told.said);
    if (goesOn) location.assign(this.told.next);
  }

  async teach() {
    if (this.isTeaching) return;
    this.isTeaching = true;
    this.say(this.words.teaching);
    const answer = await this.send(this.told.teach).catch(() => null);
    this.isTeaching = false;
    if (!answer?.ok) {
      const told = answer && await answer.json().catch(() => null);
      this.say(told?.error ?? this.words.unsent, true);
      return;
    }
    const picture = this.part("taught");
    URL.revokeObjectURL(picture.src);
    picture.src = URL.createObjectURL(await answer.blob());
    picture.hidden = false;
    this.part("taught-tool").hidden = false;
    this.say(this.words.taught);
  }
}

const place = document.querySelector("[data-painting]");
if (place) globalThis.fairtankEasel = new Easel(place, JSON.parse(document.getElementById("painting-data").textContent));
