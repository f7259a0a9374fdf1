// The looks of a report: pages of paper, the page for the phone, a picture, or plain text. Each has
// an element to show, `mark` for its sentences, and `choose` for the one that is explained.

const WIDEST = 864; // CSS pixels of a sheet, as in page.css: sharp at that width and below

export async function lookOf(shot, room, chosen) {
  const made = { pages, page, picture, text }[shot.form];
  return { form: shot.form, choose() {}, mark() {}, ...(await made(shot, room, chosen)) };
}

const element = (tag, values = {}, ...inside) => {
  const made = Object.assign(document.createElement(tag), values);
  made.append(...inside);
  return made;
};

async function pages(shot, room, chosen) {
  const width = Math.round(WIDEST * devicePixelRatio);
  const sheets = [...Array(shot.pages).keys()].map((number) => {
    const image = element("img", { alt: `Page ${number + 1} of ${shot.pages}` });
    image.dataset.address = `shots/${shot.number}/page/${number + 1}?width=${width}`;
    return element("div", { className: "sheet" }, image);
  });
  const images = sheets.map((sheet) => sheet.querySelector("img"));
  // What is in view now is loaded before the swap, the rest after it: always of the same shot.
  const old = [...room.querySelectorAll(".sheet img")];
  const seen = old.map((image) => {
    const box = image.getBoundingClientRect();
    return box.bottom > 0 && box.top < innerHeight;
  });
  const first = images.filter((_, number) => (old.length ? seen[number] : number === 0));
  const load = async (image) => {
    image.src = image.dataset.address;
    await image.decode().catch(() => {});
  };
  await Promise.all(first.map(load));
  const [size] = first.length ? first : images;
  for (const image of images) {
    image.width = size.naturalWidth || 1190;
    image.height = size.naturalHeight || 1684;
  }
  let buttons = [];
  return {
    element: element("div", {}, ...sheets),
    shown: async () => {
      for (const image of images) if (!first.includes(image)) await load(image);
    },
    mark(sentences) {
      buttons = sentences.map((sentence, number) => lines(sentence, number, sheets, chosen));
    },
    choose(number, back) {
      buttons.flat().forEach((button) => button.classList.remove("chosen"));
      (buttons[number] ?? []).forEach((button) => button.classList.add("chosen"));
      buttons[back]?.[0]?.focus();
    },
  };
}

// One button over each line of a sentence; the first is for the keyboard and says it all.
function lines(sentence, number, sheets, chosen) {
  const buttons = sentence.places.map((place, line) => {
    const button = element("button", { type: "button", className: "sentence" });
    for (const side of ["left", "top", "width", "height"]) {
      button.style[side] = `${place[side] * 100}%`;
    }
    if (line === 0) button.setAttribute("aria-label", `Why: ${sentence.text}`);
    else {
      button.tabIndex = -1;
      button.setAttribute("aria-hidden", "true");
    }
    button.addEventListener("click", () => chosen(number));
    sheets[place.page - 1].append(button);
    return button;
  });
  for (const button of buttons) {
    for (const [event, on] of [["pointerenter", true], ["pointerleave", false]]) {
      button.addEventListener(event, () => {
        buttons.forEach((other) => other.classList.toggle("pointed", on));
      });
    }
  }
  return buttons;
}

async function page(shot, room, chosen) {
  // Nothing in it runs; the sentences are made to answer from out here.
  const frame = element("iframe", { title: shot.title });
  frame.setAttribute("sandbox", "allow-same-origin");
  let spans = [];
  const loaded = new Promise((done) => frame.addEventListener("load", done, { once: true }));
  frame.src = `shots/${shot.number}/report`;
  const height = () => {
    frame.style.height = `${frame.contentDocument.documentElement.scrollHeight}px`;
  };
  return {
    element: frame,
    shown: async () => {
      await loaded;
      height();
      new ResizeObserver(height).observe(frame.contentDocument.body);
    },
    async mark(sentences) {
      await loaded;
      spans = sentences.map((sentence, number) =>
        wrapped(frame.contentDocument, sentence.text, () => chosen(number)),
      );
    },
    choose(number, back) {
      spans.forEach((span) => span?.style.removeProperty("background"));
      spans[number]?.style.setProperty("background", "#7fbcd455");
      spans[back]?.focus();
    },
  };
}

// The sentence's own letters, wherever they stand in one piece, become something to press.
function wrapped(page, text, press) {
  const walker = page.createTreeWalker(page.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const start = walker.currentNode.data.indexOf(text);
    if (start < 0) continue;
    const range = page.createRange();
    range.setStart(walker.currentNode, start);
    range.setEnd(walker.currentNode, start + text.length);
    const span = page.createElement("span");
    range.surroundContents(span);
    span.tabIndex = 0;
    span.setAttribute("role", "button");
    span.style.cursor = "pointer";
    span.addEventListener("click", press);
    span.addEventListener("keydown", (event) => {
      if (event.key === "Enter" || event.key === " ") {
        event.preventDefault();
        press();
      }
    });
    return span;
  }
  return null;
}

async function picture(shot) {
  const image = element("img", { alt: `Page one of: ${shot.title}` });
  image.src = `shots/${shot.number}/report`;
  await image.decode().catch(() => {});
  return { element: element("div", { className: "sheet" }, image) };
}

async function text(shot) {
  const answer = await fetch(`shots/${shot.number}/report`);
  const words = element("pre", { tabIndex: 0, textContent: await answer.text() });
  words.setAttribute("role", "region");
  words.setAttribute("aria-label", "The record as text");
  return { element: words };
}
