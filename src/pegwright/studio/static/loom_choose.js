/** The designs to choose from: their times in the maker's own way. */
import { writeTimes } from "./page.js";

writeTimes();
