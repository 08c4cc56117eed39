// Where the page starts.

import { render } from "preact";
import { App } from "./app.tsx";
import { keepFocus } from "./keep-focus.ts";
import { listen } from "./live.ts";
import { applyTheme } from "./preferences.ts";

applyTheme();
keepFocus();
listen();

const page = document.getElementById("page");
if (page) render(<App />, page);
