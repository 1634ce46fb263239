// Two photos over one another with a border that slides between them; and the veil over one photo that tells what was counted as what.

const compare = document.querySelector("[data-compare]");
if (compare && compare.querySelectorAll(".side").length === 2) {
  const [left, right] = compare.querySelectorAll(".side img");
  const tools = document.querySelector("[data-compare-slider]");
  const range = tools.querySelector("input");
  const border = document.createElement("span");
  border.className = "border";
  border.setAttribute("aria-hidden", "true");
  compare.append(border);
  const put = () => {
    left.style.clipPath = `inset(0 ${100 - range.value}% 0 0)`;
    border.style.left = `${range.value}%`;
  };
  const follow = event => {
    const box = right.getBoundingClientRect();
    range.value = Math.round(100 * (event.clientX - box.left) / box.width);
    put();
  };
  range.addEventListener("input", put);
  compare.addEventListener("pointerdown", event => {
    if (event.button) return;
    compare.setPointerCapture(event.pointerId);
    follow(event);
  });
  compare.addEventListener("pointermove", event => { if (compare.hasPointerCapture(event.pointerId)) follow(event); });
  for (const picture of [left, right]) picture.draggable = false;
  compare.classList.add("slides");
  tools.hidden = false;
  put();
}

const veil = document.querySelector("[data-veil-picture]");
if (veil) {
  const range = document.querySelector("[data-veil-tools] input");
  const put = () => { veil.style.opacity = range.value / 100; };
  range.addEventListener("input", put);
  put();
}
