import { connectExcel, openedInExcel } from "./engine/associate";
import { startEngine } from "./engine/engine";
import { showPage } from "./page/page";

const engine = startEngine();
if (openedInExcel()) void connectExcel(engine);
showPage(engine);
