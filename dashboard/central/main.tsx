// Where the page of all basins starts.

import { render } from "preact";
import { applyTheme } from "../preferences.ts";
import { CentralApp } from "./central-app.tsx";
import { start } from "./hear.ts";

applyTheme();
void start();

const page = document.getElementById("page");
if (page) render(<CentralApp />, page);
