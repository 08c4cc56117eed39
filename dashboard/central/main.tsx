// Where the page of all basins starts.

import { render } from "preact";
import { keepFocus } from "../keep-focus.ts";
import { applyTheme, customaryUnits } from "../preferences.ts";
import { CentralApp } from "./central-app.tsx";
import { start } from "./hear.ts";

if (navigator.language === "en-US") customaryUnits.value = "us";
applyTheme();
keepFocus();
void start();

const page = document.getElementById("page");
if (page) render(<CentralApp />, page);
