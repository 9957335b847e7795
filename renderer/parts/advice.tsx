import { type NextStep, redFlags } from "../../core/exercise/stop-rules.ts";
import { adviceWords } from "../text/coach-words.ts";
import { Icon } from "./icon.tsx";

/** What the latest answers lead to, large and calm; nothing where all goes on. */
export function Advice({ step }: { readonly step: NextStep | null }) {
	const words = adviceWords(step);
	if (words === null || step === null) return null;
	return (
		<div class={words.isSerious ? "advice advice-serious" : "advice"} role="alert">
			<Icon name={words.isSerious ? "caution" : "info"} />
			<div>
				<h2>{words.title}</h2>
				<p>{words.text}</p>
				{step.action === "get-help" && (
					<ul class="bullets">
						{redFlags
							.filter(({ id }) => step.symptoms.includes(id))
							.map(({ id, text }) => (
								<li key={id}>{text}</li>
							))}
					</ul>
				)}
			</div>
		</div>
	);
}
