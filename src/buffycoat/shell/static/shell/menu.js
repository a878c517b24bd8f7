// The menus of the top bar close when something else is pressed, or with Escape, which gives the focus back.

const open = () => document.querySelectorAll("[data-menu][open]");

document.addEventListener("click", (event) => {
  for (const menu of open()) if (!menu.contains(event.target)) menu.open = false;
});

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const menu of open()) {
    menu.open = false;
    menu.querySelector("summary").focus();
  }
});
