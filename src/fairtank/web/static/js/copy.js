// Copies a text with one tap; without this the text can be marked and copied by hand.

export function copyButtons(root = document) {
  for (const button of root.querySelectorAll("button[data-copies]")) {
    const source = root.getElementById(button.dataset.copies);
    const words = button.textContent;
    button.hidden = false;
    button.addEventListener("click", async () => {
      try {
        await navigator.clipboard.writeText(source.value);
      } catch {
        source.focus();
        source.select(); // no clipboard without a safe address: the text is marked, ready for the keeper's own copy
        if (!document.execCommand("copy")) return;
      }
      button.textContent = button.dataset.copied;
      setTimeout(() => { button.textContent = words; }, 2000);
    });
  }
}

copyButtons();
