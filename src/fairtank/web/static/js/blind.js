// Answers by key, by sliding across the photo, or by swipe; the next picture is fetched while one looks at this one.

const SHORTEST_PX = 45, BEGINS_PX = 12, LEFT_PX = 90, EDGE = 0.08;
const task = () => document.getElementById("task");
const pictures = () => [...task().querySelectorAll(".shot img")];
const steps = () => [...task().querySelectorAll(".scale button")];

function say(words) {
  const place = task().querySelector("[data-said]");
  if (place) place.textContent = words;
}

const press = button => button?.click();

// However an answer came: once for each task, and only for a picture that is there.
document.addEventListener("click", event => {
  const button = event.target.closest?.("#task form button");
  if (!button) return;
  const isAnswer = button.name === "answer";
  const isBlank = isAnswer && pictures().some(picture => picture.complete && !picture.naturalWidth);
  if (isBlank) say(task().dataset.blank);
  if (task().dataset.sent || isBlank || (isAnswer && pictures().some(picture => !picture.complete))) {
    event.preventDefault();
    event.stopPropagation();
    return;
  }
  task().dataset.sent = "1";
  task().classList.add("is-sent");
}, true);

function choose(place) {
  const all = steps();
  all.forEach((button, own) => button.classList.toggle("chosen", own === place));
  const slid = task().querySelector("[data-slid]");
  if (slid) {
    slid.hidden = place < 0;
    slid.textContent = all[place]?.value ?? "";
  }
}

const chosen = () => steps().findIndex(button => button.classList.contains("chosen"));

function byArrow(event) {
  const all = steps();
  if (!all.length) return false;
  const now = chosen();
  if (event.key === "ArrowRight" || event.key === "ArrowUp") choose(now < 0 ? 0 : Math.min(now + 1, all.length - 1));
  else if (event.key === "ArrowLeft" || event.key === "ArrowDown") choose(now < 0 ? all.length - 1 : Math.max(now - 1, 0));
  else if ((event.key === " " || event.key === "Enter") && now >= 0) press(all[now]);
  else return false;
  return true;
}

document.addEventListener("keydown", event => {
  if (event.altKey || event.ctrlKey || event.metaKey || event.repeat || event.target.closest?.("input, textarea, select, summary")) return;
  if (byArrow(event)) return event.preventDefault();
  if (event.key === " " && event.target.closest?.("button, a")) return; // it presses what has the focus
  const button = task()?.querySelector(`[data-key="${CSS.escape(event.key)}"]`);
  if (!button) return;
  event.preventDefault();
  press(button);
});

let from = null;

function stepAt(x) {
  const {left, width} = task().querySelector("[data-shots]").getBoundingClientRect();
  const share = ((x - left) / width - EDGE) / (1 - 2 * EDGE);
  return Math.min(steps().length - 1, Math.max(0, Math.round(share * (steps().length - 1))));
}

document.addEventListener("pointerdown", event => {
  const more = from !== null && event.pointerType !== "mouse"; // a second finger zooms
  from = more || event.pointerType === "mouse" || !event.target.closest?.("[data-shots]") ? null : {x: event.clientX, y: event.clientY, slides: false};
  if (more) choose(-1);
});
document.addEventListener("pointermove", event => {
  if (!from || !steps().length) return;
  const [x, y] = [event.clientX - from.x, event.clientY - from.y];
  if (Math.abs(y) > LEFT_PX) from = null; // slid away from the photo: nothing is meant
  else if (Math.abs(x) > BEGINS_PX && Math.abs(x) > Math.abs(y)) from.slides = true;
  if (!from) choose(-1);
  else if (from.slides) choose(stepAt(event.clientX));
});
document.addEventListener("pointerup", event => {
  if (!from) return;
  const [x, y, slides] = [event.clientX - from.x, event.clientY - from.y, from.slides];
  from = null;
  if (steps().length) {
    if (slides) press(steps()[stepAt(event.clientX)]);
  } else if (Math.abs(x) >= SHORTEST_PX && Math.abs(x) > Math.abs(y)) press(task().querySelector(`[name="answer"][value="${x < 0 ? "a" : "b"}"]`));
});
document.addEventListener("pointercancel", () => {
  if (from?.slides) choose(-1);
  from = null;
});

function fetchAhead() {
  for (const address of (task()?.dataset.ahead ?? "").split(" ").filter(Boolean)) new Image().src = address;
}

function failed() {
  delete task().dataset.sent;
  task().classList.remove("is-sent");
  choose(-1);
  say(task().dataset.unsent);
}

document.addEventListener("htmx:afterSwap", () => { task()?.focus({preventScroll: true}); fetchAhead(); });
document.addEventListener("htmx:responseError", failed);
document.addEventListener("htmx:sendError", failed);
document.addEventListener("htmx:timeout", failed);
// A picture that is already on its way must not wait behind the next one.
if (document.readyState === "complete") fetchAhead();
else addEventListener("load", fetchAhead);
