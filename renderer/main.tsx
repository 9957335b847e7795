import "uplot/dist/uPlot.min.css";
import "./style/tokens.css";
import "./style/base.css";
import "./style/controls.css";
import "./style/shell.css";
import "./style/live.css";
import "./style/check.css";
import "./style/volume.css";
import "./style/records.css";
import "./style/review.css";
import "./style/sight.css";
import "./style/report.css";
import "./style/people.css";
import "./style/plan.css";
import "./style/coach.css";
import "./style/home.css";
import "./style/profile.css";
import { render } from "preact";
import { App } from "./app.tsx";
import { createPageModel } from "./page-model.ts";
import { ModelContext } from "./parts/model-context.ts";

const model = createPageModel();

declare global {
	interface Window {
		/** For the bench: how long pictures took from the last byte of their frame to the screen. */
		tautlineLatencies?: typeof model.latencies;
	}
}
window.tautlineLatencies = model.latencies;

render(
	<ModelContext.Provider value={model}>
		<App />
	</ModelContext.Provider>,
	document.querySelector("#app")!,
);
