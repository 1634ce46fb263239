// The frame: four corners clicked, pulled, or pushed by the arrow keys, with a magnifier; and zones drawn inside it. What is drawn is written
// into the fields of the two forms, which work without this script too.

const NS = "http://www.w3.org/2000/svg";
const SMALLEST_SIDE_PX = 60;
const ENLARGED = 3;
const CLOSE_PX = 14; // on the screen: how near a click must come to the first corner of a zone to close it

const place = document.querySelector("[data-framing]");
const words = place.dataset;
const [photoWidth, photoHeight] = [Number(words.width), Number(words.height)];
const stage = place.querySelector("[data-stage]");
const drawing = place.querySelector("[data-drawing]");
const check = place.querySelector("[data-check]");
const magnifier = place.querySelector("[data-magnifier]");
const form = document.querySelector("[data-frame-form]");
const field = name => form.elements.namedItem(name);
const names = words.corners.split(",");

let isChanged = false;
let corners = read();
let zones = zonesFromText(field("zones").value);
let drawn = null; // the zone that is being drawn: its corners in px
let chosen = -1; // the zone whose corners can be pulled

function read() {
  const found = [];
  for (let number = 1; number <= 4; number += 1) {
    const x = parseFloat(field(`x${number}`).value.replace(",", "."));
    const y = parseFloat(field(`y${number}`).value.replace(",", "."));
    if (Number.isFinite(x) && Number.isFinite(y)) found.push([x, y]);
  }
  return found;
}

// Round the middle, beginning at the top left.
function ordered(points) {
  const mx = points.reduce((sum, one) => sum + one[0], 0) / points.length;
  const my = points.reduce((sum, one) => sum + one[1], 0) / points.length;
  const around = [...points].sort((a, b) => Math.atan2(a[1] - my, a[0] - mx) - Math.atan2(b[1] - my, b[0] - mx));
  const sums = around.map(one => one[0] + one[1]);
  const first = sums.indexOf(Math.min(...sums));
  return [...around.slice(first), ...around.slice(0, first)];
}

function fault() {
  if (corners.length < 4) return words.missing.replace("{count}", corners.length);
  const [[x1, y1], [x2, y2], [x3, y3], [x4, y4]] = corners;
  if (!(x1 < x2 && x4 < x3 && y1 < y4 && y2 < y3)) return words.order;
  for (let at = 0; at < 4; at += 1) {
    const [a, b, c] = [0, 1, 2].map(step => corners[(at + step) % 4]);
    if ((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]) <= 1e-9) return words.convex;
  }
  const sides = corners.map((one, at) => Math.hypot(one[0] - corners[(at + 1) % 4][0], one[1] - corners[(at + 1) % 4][1]));
  return Math.min(...sides) < SMALLEST_SIDE_PX ? words.small : "";
}

// The perspective from the frame [cm] to the photo [px], and back.
function perspective() {
  const [w, h] = ["width_cm", "height_cm"].map(name => parseFloat(field(name).value.replace(",", ".")));
  if (fault() || !(w > 0) || !(h > 0)) return null;
  const [[x0, y0], [x1, y1], [x2, y2], [x3, y3]] = corners;
  const [dx1, dx2, sx, dy1, dy2, sy] = [x1 - x2, x3 - x2, x0 - x1 + x2 - x3, y1 - y2, y3 - y2, y0 - y1 + y2 - y3];
  const den = dx1 * dy2 - dx2 * dy1;
  const g = (sx * dy2 - dx2 * sy) / den;
  const k = (dx1 * sy - sx * dy1) / den;
  const m = [x1 - x0 + g * x1, x3 - x0 + k * x3, x0, y1 - y0 + g * y1, y3 - y0 + k * y3, y0, g, k, 1];
  const [a, b, c, d, e, f, p, q, r] = m;
  const back = [e * r - f * q, c * q - b * r, b * f - c * e, f * p - d * r, a * r - c * p, c * d - a * f, d * q - e * p, b * p - a * q, a * e - b * d];
  const through = (t, x, y) => { const z = t[6] * x + t[7] * y + t[8]; return [(t[0] * x + t[1] * y + t[2]) / z, (t[3] * x + t[4] * y + t[5]) / z]; };
  return {toPx: ([x, y]) => through(m, x / w, y / h), toCm: ([x, y]) => { const [u, v] = through(back, x, y); return [u * w, v * h]; }};
}

function zonesFromText(text) {
  return text.split("\n").map(line => line.split("|").map(part => part.trim())).filter(parts => parts.length === 3).map(([kind, name, points]) =>
    ({kind, name, polygon: points.split(";").map(point => point.trim().split(/\s+/).map(Number)).filter(point => point.length === 2)}));
}

function write() {
  isChanged = true;
  for (let number = 1; number <= 4; number += 1) {
    const corner = corners[number - 1];
    field(`x${number}`).value = corner ? corner[0].toFixed(1) : "";
    field(`y${number}`).value = corner ? corner[1].toFixed(1) : "";
  }
}

function writeZones() {
  isChanged = true;
  field("zones").value = zones.map(zone =>
    `${zone.kind} | ${zone.name} | ${zone.polygon.map(([x, y]) => `${+x.toFixed(2)} ${+y.toFixed(2)}`).join("; ")}`).join("\n");
}

function shape(name, points, classes) {
  const node = document.createElementNS(NS, name);
  node.setAttribute("points", points.map(one => one.join(",")).join(" "));
  node.setAttribute("class", classes);
  drawing.append(node);
}

function handle(point, label, classes, moved) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = `handle ${classes}`;
  const put = () => {
    button.style.left = `${100 * point[0] / photoWidth}%`;
    button.style.top = `${100 * point[1] / photoHeight}%`;
    button.setAttribute("aria-label", `${label}: ${point[0].toFixed(0)}, ${point[1].toFixed(0)}`);
  };
  const to = (x, y) => {
    [point[0], point[1]] = [Math.min(Math.max(x, 0), photoWidth), Math.min(Math.max(y, 0), photoHeight)];
    put();
    look(point);
    moved(point);
  };
  button.addEventListener("pointerdown", event => {
    event.stopPropagation();
    event.preventDefault();
    button.focus({preventScroll: true});
    button.setPointerCapture(event.pointerId);
    look(point);
  });
  button.addEventListener("pointermove", event => { if (button.hasPointerCapture(event.pointerId)) to(...where(event)); });
  button.addEventListener("click", event => event.stopPropagation());
  button.addEventListener("focus", () => look(point));
  button.addEventListener("blur", () => { magnifier.hidden = true; });
  button.addEventListener("keydown", event => {
    const moves = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]};
    const move = moves[event.key];
    if (!move) return;
    event.preventDefault();
    const step = event.shiftKey ? 10 : 1;
    to(point[0] + step * move[0], point[1] + step * move[1]);
  });
  put();
  stage.append(button);
  return button;
}

function where(event) {
  const box = stage.getBoundingClientRect();
  return [(event.clientX - box.left) / box.width * photoWidth, (event.clientY - box.top) / box.height * photoHeight];
}

// The surroundings of a corner, each px of the photo three times as large; on small photos and screens a little more.
function look([x, y]) {
  magnifier.hidden = false;
  const picture = magnifier.querySelector("img");
  picture.style.width = `${photoWidth * ENLARGED}px`;
  picture.style.height = `${photoHeight * ENLARGED}px`;
  picture.style.transform = `translate(${magnifier.clientWidth / 2 - x * ENLARGED}px, ${magnifier.clientHeight / 2 - y * ENLARGED}px)`;
  if (picture.dataset.whole) return;
  picture.dataset.whole = "1";
  const whole = new Image();
  whole.onload = () => { picture.src = whole.src; };
  whole.src = words.full;
}

function lines() {
  drawing.replaceChildren();
  const way = perspective();
  if (corners.length > 1) shape(corners.length === 4 ? "polygon" : "polyline", corners, "frame-line");
  if (way) zones.forEach((zone, at) => shape("polygon", zone.polygon.map(way.toPx), `zone-line ${zone.kind}${at === chosen ? " chosen" : ""}`));
  if (drawn && drawn.length) shape("polyline", drawn, "zone-line drawn");
  const said = fault();
  check.textContent = drawn ? words.zone : said || words.good;
  check.classList.toggle("refusal", !drawn && said !== "" && corners.length === 4);
}

function all() {
  stage.querySelectorAll(".handle").forEach(node => node.remove());
  corners.forEach((corner, at) => handle(corner, corners.length === 4 ? names[at] : String(at + 1), "corner", () => { write(); lines(); }));
  const way = perspective();
  if (chosen >= 0 && way && zones[chosen]) {
    zones[chosen].polygon.forEach((_, at) => {
      handle(way.toPx(zones[chosen].polygon[at]), `${zones[chosen].name || zones[chosen].kind} ${at + 1}`, "zone-corner", point => {
        zones[chosen].polygon[at] = way.toCm(point);
        writeZones();
        lines();
      });
    });
  }
  lines();
  list();
}

function list() {
  const list = form.querySelector("[data-zone-list]");
  list.replaceChildren(...zones.map((zone, at) => {
    const line = document.createElement("li");
    const name = document.createElement("span");
    name.textContent = zone.name ? `${zone.name} (${zone.kind})` : zone.kind;
    const pick = (text, act) => {
      const button = document.createElement("button");
      button.type = "button";
      button.className = "quiet";
      button.textContent = text;
      button.setAttribute("aria-label", `${text}: ${name.textContent}`);
      button.addEventListener("click", act);
      return button;
    };
    line.append(name, pick(words.change, () => { chosen = chosen === at ? -1 : at; all(); }),
      pick(words.away, () => { zones.splice(at, 1); chosen = -1; writeZones(); all(); }));
    return line;
  }));
}

function closeZone() {
  const way = perspective();
  if (drawn && drawn.length >= 3 && way) {
    zones.push({kind: form.querySelector("#zone-kind").value, name: form.querySelector("#zone-name").value.replace(/[|;*]/g, " ").trim(),
      polygon: drawn.map(way.toCm)});
    writeZones();
  }
  endZone();
}

function endZone() {
  drawn = null;
  form.querySelector("[data-zone-close]").hidden = true;
  all();
}

stage.addEventListener("click", event => {
  const [x, y] = where(event);
  if (drawn) {
    const scale = stage.getBoundingClientRect().width / photoWidth;
    if (drawn.length >= 3 && Math.hypot(x - drawn[0][0], y - drawn[0][1]) * scale < CLOSE_PX) { closeZone(); return; }
    drawn.push([x, y]);
    lines();
    return;
  }
  if (corners.length >= 4) return;
  corners.push([x, y]);
  if (corners.length === 4) corners = ordered(corners);
  write();
  all();
});

document.addEventListener("keydown", event => {
  if (!drawn) return;
  if (event.key === "Enter" && !event.target.closest("button, textarea, select")) { event.preventDefault(); closeZone(); }
  if (event.key === "Escape") endZone();
});
place.querySelector("[data-again]").addEventListener("click", () => { corners = []; write(); all(); });
form.querySelector("[data-zone-draw]").addEventListener("click", () => {
  if (!perspective()) { check.textContent = words.noframe; check.classList.add("refusal"); stage.scrollIntoView({block: "nearest"}); return; }
  chosen = -1;
  drawn = [];
  form.querySelector("[data-zone-close]").hidden = false;
  all();
  stage.scrollIntoView({block: "nearest"});
});
form.querySelector("[data-zone-close]").addEventListener("click", closeZone);
field("zones").addEventListener("change", event => { zones = zonesFromText(event.target.value); chosen = -1; all(); });
form.addEventListener("submit", () => { isChanged = false; });
addEventListener("beforeunload", event => { if (isChanged) event.preventDefault(); });
form.querySelector("[data-numbers]").addEventListener("change", () => { corners = read(); all(); });
["width_cm", "height_cm"].forEach(name => field(name).addEventListener("input", lines));
place.querySelector("[data-tools]").hidden = false;
form.querySelector("[data-zone-tools]").hidden = false;
// The whole photo is seen at once: no corner lies below the window's edge.
stage.style.maxWidth = `calc((100vh - 5rem) * ${photoWidth / photoHeight})`;
all();
