/* The worksheet: fields where the sheet has blanks, readings judged at once, kept in this browser, saved as a
   results file. Without this script the page is the same sheet, blank. All words come from the page. */
(function () {
  "use strict"
  const root = document.getElementById("worksheet-data")
  const place = document.getElementById("worksheet-save")
  if (!root || !place) return
  const sheet = JSON.parse(root.dataset.sheet)
  const words = sheet.words
  const key = "asfitted results " + sheet.build
  const REASONED = ["not applicable", "limitation"]
  const NUMBER = /^([<>]?)\s*(-?\d+(?:[.,]\d+)?)$/

  // What was typed, whatever plan it was typed for: a reading whose test is gone stays and is saved as well.
  const empty = { session: { date: new Date().toISOString().slice(0, 10) }, instruments: {}, readings: {} }
  let kept = true
  const typed = load()

  function load() {
    try {
      return Object.assign({}, empty, JSON.parse(localStorage.getItem(key) || "{}"))
    } catch (refused) {
      return empty
    }
  }

  function keep() {
    try {
      localStorage.setItem(key, JSON.stringify(typed))
      kept = true
    } catch (refused) {
      kept = false
    }
    report()
  }

  function make(tag, parent, attributes) {
    const made = Object.assign(document.createElement(tag), attributes || {})
    parent.append(made)
    return made
  }

  // A reading as the program judges it: limits hold at 20 °C where the row says so.
  function judge(row, entry) {
    if (!entry || (!entry.outcome && !entry.text)) return ["", ""]
    if (REASONED.includes(entry.outcome)) return entry.text ? [entry.outcome, ""] : ["", words.reason]
    if (entry.outcome) return [entry.outcome, ""]
    const match = NUMBER.exec(entry.text.trim())
    if (!match) return ["", words.number]
    const bound = match[1]
    let value = Number(match[2].replace(",", "."))
    let note = ""
    const celsius = Number(String(typed.session.temperature || "").replace(",", "."))
    if (row.at20) {
      value /= 1 + sheet.per_kelvin * ((typed.session.temperature ? celsius : 20) - 20)
      note = words["at 20"].replace("{value}", Number(value.toPrecision(3)))
    }
    const least = bound === "<" ? -Infinity : value
    const most = bound === ">" ? Infinity : value
    const slack = 1e-9 * Math.max(Math.abs(value), 1)
    if (row.floor && most < row.floor - slack) return ["contradicts", note]
    if (row.high !== undefined) {
      if (least > row.high + slack) return ["fail", note]
      if (most > row.high + slack) return ["unsure", note]
    }
    if (row.low !== undefined) {
      if (most < row.low - slack) return ["fail", note]
      if (least < row.low - slack) return ["unsure", note]
    }
    return ["pass", note]
  }

  function entryOf(row) {
    return (typed.readings[row.test] || {})[row.state]
  }

  // One row: an outcome to choose, a figure or a reason to type, and the verdict beside it.
  function field(span) {
    const row = JSON.parse(span.dataset.row)
    const verdict = span.closest("tr").querySelector(".verdict")
    const outcomes = row.unit === undefined ? ["pass", "fail", ...REASONED] : REASONED
    const select = make("select", span, { ariaLabel: span.dataset.label })
    make("option", select, { value: "", textContent: row.unit === undefined ? words.choose : words.reading })
    for (const outcome of outcomes) make("option", select, { value: outcome, textContent: words[outcome] })
    const input = make("input", span, { type: "text", inputMode: row.unit === undefined ? "text" : "decimal" })
    input.setAttribute("aria-label", span.dataset.label + ": " + words.reading)
    verdict.setAttribute("role", "status")

    function show() {
      const entry = entryOf(row) || { outcome: "", text: "" }
      input.hidden = row.unit === undefined && !entry.outcome
      input.inputMode = row.unit === undefined || entry.outcome ? "text" : "decimal"
      const [outcome, note] = judge(row, entryOf(row))
      verdict.textContent = [words[outcome] || "", note].filter(Boolean).join(", ")
      verdict.className = "verdict " + (outcome ? outcome.replace(" ", "-") : "")
    }

    function changed() {
      const of = (typed.readings[row.test] = typed.readings[row.test] || {})
      of[row.state] = { outcome: select.value, text: input.value, unit: row.unit }
      if (!select.value && !input.value) delete of[row.state]
      if (!Object.keys(of).length) delete typed.readings[row.test]
      show()
      keep()
    }

    const entry = entryOf(row)
    if (entry) {
      select.value = entry.outcome
      input.value = entry.text
    }
    select.addEventListener("change", changed)
    input.addEventListener("input", changed)
    show()
    return { row, show }
  }

  const rows = [...root.querySelectorAll(".reading")].map(field)

  for (const span of root.querySelectorAll(".entry")) {
    const { of, instrument, kind, label } = span.dataset
    const holder = instrument
      ? (typed.instruments[instrument] = typed.instruments[instrument] || {})
      : typed.session
    const input = make("input", span, { type: kind || "text", value: holder[of] || "", ariaLabel: label })
    input.addEventListener("input", () => {
      holder[of] = input.value
      for (const one of rows) one.show()
      keep()
    })
  }

  // Narrow screens show a table row by row: each cell then says which column it was.
  for (const table of root.querySelectorAll("table")) {
    const heads = [...table.querySelectorAll("th")].map(head => head.textContent)
    for (const line of table.querySelectorAll("tbody tr"))
      [...line.children].forEach((cell, number) => { cell.dataset.head = heads[number] || "" })
  }

  // The file: JSON strings are YAML strings, so that nothing that was typed can be taken for anything else.
  function written(entry) {
    const text = entry.text.trim()
    if (entry.outcome) return text ? `${entry.outcome} (${text.replace(/[()]/g, "")})` : entry.outcome
    const match = NUMBER.exec(text)
    if (!match) return `limitation (${text.replace(/[()]/g, "")})`
    const bound = { "<": "under ", ">": "over " }[match[1]] || ""
    return `${bound}${match[2].replace(",", ".")} ${entry.unit || ""}`.trim()
  }

  function yaml() {
    const q = JSON.stringify
    const s = typed.session
    const celsius = String(s.temperature || "").replace(",", ".")
    const lines = [
      `results: ${sheet.format}`, `build: ${q(sheet.build)}`, `revision: ${sheet.revision}`, "sessions:",
      `  - date: ${q(s.date || "")}`, `    by: ${q(s.by || "")}`, `    weather: ${q(s.weather || "")}`,
      `    temperature: ${q(celsius ? celsius + " °C" : "")}`,
    ]
    const named = Object.entries(typed.instruments).filter(([, held]) => held.serial || held.calibrated)
    if (named.length) lines.push("    instruments:")
    for (const [name, held] of named)
      lines.push(`      ${q(name)}: {serial: ${q(held.serial || "")}, calibrated: ${q(held.calibrated || "")}}`)
    lines.push("    readings:")
    for (const [test, of] of Object.entries(typed.readings)) {
      if (of[""]) lines.push(`      ${q(test)}: ${q(written(of[""]))}`)
      else {
        lines.push(`      ${q(test)}:`)
        for (const [state, entry] of Object.entries(of)) lines.push(`        ${q(state)}: ${q(written(entry))}`)
      }
    }
    return lines.join("\n") + "\n"
  }

  function wanted() {
    const missing = ["date", "by", "weather", "temperature"].filter(name => !typed.session[name])
    return missing.length ? words.needed.replace("{fields}", missing.map(name => words[name]).join(", ")) : ""
  }

  const count = make("p", place, { className: "count" })
  const buttons = make("p", place)
  const save = make("button", buttons, { type: "button", textContent: words.save, className: "md-button" })
  const copy = make("button", buttons, { type: "button", textContent: words.copy, className: "md-button" })
  const clear = make("button", buttons, { type: "button", textContent: words.clear, className: "md-button" })
  const said = make("p", place)
  said.setAttribute("role", "status")
  const text = make("textarea", place, { readOnly: true, rows: 12, ariaLabel: "results.yaml" })

  save.addEventListener("click", () => {
    const link = make("a", place, { href: URL.createObjectURL(new Blob([yaml()], { type: "text/yaml" })) })
    link.download = sheet.file.replace("{date}", typed.session.date || "undated")
    link.click()
    link.remove()
  })
  copy.addEventListener("click", () => {
    text.select()
    document.execCommand("copy")
    said.textContent = words.copied
  })
  clear.addEventListener("click", () => {
    if (!confirm(words.forget)) return
    try {
      localStorage.removeItem(key)
    } catch (refused) { /* there was nothing kept */ }
    location.reload()
  })

  function report() {
    const outcomes = rows.map(({ row }) => judge(row, entryOf(row))[0])
    count.textContent = words.done
      .replace("{done}", outcomes.filter(Boolean).length)
      .replace("{all}", rows.length)
      .replace("{failed}", outcomes.filter(o => o === "fail" || o === "contradicts").length)
    said.textContent = [wanted(), kept ? words.kept : words["not kept"]].filter(Boolean).join(" ")
    text.value = yaml()
  }
  report()
})()
