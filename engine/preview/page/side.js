// What stands beside the report: why a sentence is said, what is wrong, how long stages took.
// All of it is set as text, never as markup.

const element = (tag, className, ...inside) => {
  const made = document.createElement(tag);
  if (className) made.className = className;
  made.append(...inside.filter((part) => part !== "" && part != null));
  return made;
};

export function whySaid(why, close) {
  const button = element("button", "", "Close");
  button.type = "button";
  button.addEventListener("click", close);
  const part = element(
    "section",
    "why",
    element("div", "head", element("h2", "", "Why this is said"), button),
    element("p", "said", why.text),
    element("h3", "", "Rule"),
    element("p", "", element("strong", "", why.rule), element("br"), why.condition),
    element("p", "quiet", why.rule_place),
  );
  const numbers = Object.entries(why.numbers).map(([name, value]) => [name, shown(value)]);
  if (numbers.length) part.append(element("h3", "", "Numbers"), table(numbers));
  for (const [path, how] of Object.entries(why.how)) {
    part.append(element("h3", "", path), element("p", "quiet", how));
  }
  const inputs = why.inputs.map((input) => [input.path, input.places.join(", ")]);
  if (inputs.length) part.append(element("h3", "", "Read from"), table(inputs));
  const limits = why.thresholds.map((one) => [
    `${one.name} (${one.place})`,
    `${shown(one.value)}${one.unit === "1" ? "" : ` ${one.unit}`}`,
  ]);
  if (limits.length) part.append(element("h3", "", "Thresholds"), table(limits));
  return part;
}

export function faultsTold(told) {
  const [errors, warnings] = ["error", "warning"].map((severity) =>
    told.filter((fault) => fault.severity === severity),
  );
  const faults = [...errors, ...warnings];
  return element(
    "section",
    "faults",
    element("h2", "", errors.length ? "What is wrong" : "Please check"),
    ...faults.map((fault) =>
      element(
        "div",
        `fault ${fault.severity}`,
        element("p", "code", fault.code),
        element("p", "place", fault.place),
        fault.source && source(fault),
        element("p", "", ...coded(`${fault.message} ${fault.hint}`)),
      ),
    ),
  );
}

// What a message quotes between backticks is set as code.
const coded = (words) =>
  words.split(/`([^`]*)`/).map((part, number) => (number % 2 ? element("code", "", part) : part));

function source({ source: line, line: number, column, width }) {
  const start = Math.max(column - 1, 0);
  const end = column ? start + Math.max(width, 1) : start;
  const marked = column ? element("mark", "", line.slice(start, end) || " ") : "";
  const made = element(
    "div", "source", element("span", "number", `${number}  `), line.slice(0, start), marked,
    line.slice(end),
  );
  made.tabIndex = 0;
  made.setAttribute("role", "region");
  made.setAttribute("aria-label", `Line ${number}`);
  return made;
}

export function timesTold(stages) {
  const rows = stages.map((stage) => [stage.name, `${stage.ms.toFixed(1)} ms`]);
  const total = stages.reduce((sum, stage) => sum + stage.ms, 0);
  const times = table(rows);
  const foot = times.createTFoot().insertRow();
  foot.append(heading("together"), element("td", "", `${total.toFixed(1)} ms`));
  return element("section", "times", element("h2", "", "How long each stage took"), times);
}

function table(rows) {
  const made = document.createElement("table");
  const body = made.createTBody();
  for (const [name, value] of rows) {
    body.insertRow().append(heading(name), element("td", "", value));
  }
  return made;
}

function heading(words) {
  const made = element("th", "", words);
  made.scope = "row";
  return made;
}

const shown = (value) => (typeof value === "number" ? String(Number(value.toPrecision(6))) : String(value));
