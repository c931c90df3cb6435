/* Small repairs to what the theme leaves out for people who use a keyboard or listen to the page. */
(function () {
  "use strict"

  // The search is a dialog without a name; its field has one.
  const search = document.querySelector(".md-search")
  const field = document.querySelector(".md-search__input")
  if (search && field) search.setAttribute("aria-label", field.getAttribute("aria-label"))

  // What scrolls sideways must be reachable without a pointer. The theme wraps tables while the page loads.
  function reach() {
    for (const scroller of document.querySelectorAll(".md-typeset__scrollwrap, .md-typeset pre > code")) {
      if (scroller.scrollWidth > scroller.clientWidth) scroller.tabIndex = 0
      else scroller.removeAttribute("tabindex")
    }
  }
  addEventListener("load", reach)
  addEventListener("resize", reach)
})()
