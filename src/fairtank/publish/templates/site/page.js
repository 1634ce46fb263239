"use strict";
// Three things that touch adds to the page: values of the charts, and two photos with a border that slides between them.

const NEAR_PX = 36;

const touchable = (box, place, points, told) => {
  const svg = box.querySelector("svg");
  const wide = svg.viewBox.baseVal.width;
  let here = -1;
  let ring = null;
  const show = number => {
    here = number;
    if (!ring) {
      ring = document.createElementNS("http://www.w3.org/2000/svg", "circle");
      ring.setAttribute("class", "ring");
      ring.setAttribute("r", "9");
      svg.append(ring);
    }
    ring.setAttribute("cx", points[here][place]);
    ring.setAttribute("cy", points[here][place + 1]);
    told.textContent = points[here][4];
    told.classList.remove("asks");
  };
  const nearest = event => {
    const frame = svg.getBoundingClientRect();
    const scale = wide / frame.width;
    const x = (event.clientX - frame.left) * scale;
    const y = (event.clientY - frame.top) * scale;
    let best = -1;
    let least = NEAR_PX * scale;
    points.forEach((point, number) => {
      const far = Math.hypot(point[place] - x, point[place + 1] - y);
      if (far < least) { least = far; best = number; }
    });
    return best;
  };
  const follow = event => {
    const found = nearest(event);
    if (found >= 0 && found !== here) show(found);
  };
  svg.addEventListener("pointermove", follow);
  svg.addEventListener("pointerdown", follow);
  box.tabIndex = 0;
  box.setAttribute("role", "group");
  box.setAttribute("aria-label", "Chart. The arrow keys read its values one by one.");
  box.addEventListener("keydown", event => {
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (!step) return;
    event.preventDefault();
    show((Math.max(here, step < 0 ? 0 : -1) + step + points.length) % points.length);
  });
};

for (const chart of document.querySelectorAll("[data-chart]")) {
  const points = JSON.parse(chart.querySelector("script").textContent);
  if (!points.length) continue;
  const told = document.createElement("p");
  told.className = "told asks";
  told.setAttribute("aria-live", "polite");
  told.textContent = "Touch a mark to read its value.";
  chart.querySelector("figcaption").before(told);
  touchable(chart.querySelector(".broad"), 0, points, told);
  touchable(chart.querySelector(".narrow"), 2, points, told);
}

const compare = document.querySelector("[data-compare]");
if (compare) {
  const pictures = JSON.parse(compare.querySelector("script").textContent);
  const two = compare.querySelector(".two");
  const slide = compare.querySelector(".slide");
  const range = slide.querySelector("input");
  const meet = document.createElement("span");
  meet.className = "meet";
  meet.setAttribute("aria-hidden", "true");
  two.append(meet);
  const [left, right] = two.querySelectorAll("figure");
  const top = left.querySelector("img");
  const put = () => {
    top.style.clipPath = `inset(0 ${100 - range.value}% 0 0)`;
    meet.style.left = `calc(${range.value}% - 1px)`;
    meet.style.height = `${top.getBoundingClientRect().height}px`;
  };
  const side = (picks, figure) => {
    const unit = picks.querySelector("[data-unit]");
    const day = picks.querySelector("[data-day]");
    const days = wanted => {
      const own = pictures.filter(one => one.unit === unit.value);
      day.replaceChildren(...own.map(one => new Option(one.day, one.day)));
      const near = own.reduce((best, one) => Math.abs(one.day - wanted) < Math.abs(best.day - wanted) ? one : best);
      day.value = near.day;
    };
    const load = () => {
      const found = pictures.find(one => one.unit === unit.value && String(one.day) === day.value);
      const picture = figure.querySelector("img");
      picture.src = found.src;
      picture.alt = found.words;
      figure.querySelector("figcaption").textContent = found.words;
    };
    days(Number(day.value));
    unit.addEventListener("change", () => { days(Number(day.value)); load(); });
    day.addEventListener("change", load);
  };
  const picks = compare.querySelector(".picks");
  side(picks.querySelector("[data-side=left]"), left);
  side(picks.querySelector("[data-side=right]"), right);
  const follow = event => {
    const box = two.getBoundingClientRect();
    range.value = Math.round(100 * (event.clientX - box.left) / box.width);
    put();
  };
  let held = false;
  two.addEventListener("pointerdown", event => { if (!event.button) { held = true; follow(event); } });
  two.addEventListener("pointermove", event => { if (held) follow(event); });
  for (const name of ["pointerup", "pointercancel", "pointerleave"]) two.addEventListener(name, () => { held = false; });
  for (const picture of two.querySelectorAll("img")) picture.draggable = false;
  range.addEventListener("input", put);
  picks.hidden = false;
  slide.hidden = false;
  compare.classList.add("live");
  put();
  top.addEventListener("load", put);
  addEventListener("resize", put);
}
