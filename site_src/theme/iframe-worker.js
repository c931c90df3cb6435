/*
 * A stand-in for Worker where browsers refuse one: on pages that are opened from a folder (file:).
 * The search asks for a Worker; here its script runs in a hidden frame instead, out of reach of the page's own
 * names, and messages travel as events. Only what the search uses is offered.
 */
(function () {
  "use strict"
  if (location.protocol !== "file:") return

  // One message inwards or outwards; it is delivered later, like a real one, never within the call.
  function deliver(target, EventType, data) {
    setTimeout(function () {
      target.dispatchEvent(new EventType("message", { data: data }))
    })
  }

  class FrameWorker extends EventTarget {
    constructor(address) {
      super()
      const worker = this
      const frame = document.createElement("iframe")
      frame.hidden = true
      this.frame = frame
      this.running = new Promise(function (resolve, reject) {
        // Registered before the frame is inserted: some browsers load an empty frame at once, others later.
        frame.addEventListener("load", function () {
          const realm = frame.contentWindow
          realm.postMessage = function (data) {
            deliver(worker, MessageEvent, data)
          }
          const script = realm.document.createElement("script")
          script.src = new URL(address, location.href).href
          script.onload = function () { resolve(realm) }
          script.onerror = function () { reject(new Error("cannot load " + script.src)) }
          realm.document.head.append(script)
        }, { once: true })
      })
      document.body.append(frame)
    }

    postMessage(data) {
      this.running.then(function (realm) { deliver(realm, realm.MessageEvent, data) })
    }

    terminate() {
      this.frame.remove()
    }
  }

  window.Worker = FrameWorker
})()
