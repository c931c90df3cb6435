/* Put into every page by the preview server, never into a published one: asks for news, reloads, shows an error. */
(function () {
  "use strict"
  const own = document.currentScript.dataset
  let notice = null

  function show(state) {
    if (!state.error) {
      if (notice) notice.remove()
      notice = null
      return
    }
    if (!notice) {
      notice = document.createElement("section")
      notice.setAttribute("role", "alert")
      notice.style.cssText = "position:fixed;inset:auto 0 0 0;z-index:99;max-height:60vh;overflow:auto;" +
        "background:#fff;color:#000;border-top:5px solid #b3151b;padding:1rem 1.5rem;font-size:15px"
      notice.append(document.createElement("strong"), document.createElement("pre"))
      notice.lastChild.style.cssText = "white-space:pre-wrap;margin:.6rem 0 0;font-size:14px"
      document.body.append(notice)
    }
    notice.firstChild.textContent = state.failed
    notice.lastChild.textContent = state.error
  }

  async function ask() {
    try {
      const state = await (await fetch(own.state, { cache: "no-store" })).json()
      if (String(state.build) !== own.build) return location.reload()
      show(state)
    } catch (gone) { /* the server was stopped; ask again in case it comes back */ }
    setTimeout(ask, 250)
  }
  ask()
})()
