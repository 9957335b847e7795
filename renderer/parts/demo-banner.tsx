/** Says on every screen that the people shown are invented, leads back, and tells how the making of a demo goes. */
import { demoWords } from "../text/demo-words.ts";
import { Icon } from "./icon.tsx";
import { useModel, useSubscription } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { useAction } from "./use-request.ts";

export function DemoBanner() {
	const model = useModel();
	useSubscription(model.onChange);
	const close = useAction("closeDemo");
	const { state } = model;
	if (state === null || !state.records.isDemo) return null;
	const mayGoBack = state.records.hasOwnBehind && state.home === null;
	return (
		<>
			<div class="banner banner-demo" role="status">
				<Icon name="info" />
				<p>
					<strong>{demoWords.banner}.</strong>{" "}
					{state.records.hasOwnBehind ? demoWords.behind : demoWords.alone}
				</p>
				{mayGoBack && (
					<button
						type="button"
						class="button button-small"
						disabled={close.isBusy}
						onClick={() => void close.run(null)}
					>
						{demoWords.back}
					</button>
				)}
			</div>
			{close.fault !== null && (
				<div class="banner-space">
					<FaultNote fault={close.fault} onDismiss={close.clearFault} />
				</div>
			)}
		</>
	);
}

export function DemoProgress() {
	const model = useModel();
	useSubscription(model.onChange);
	const cancel = useAction("cancelDemo");
	const demo = model.state?.demo ?? null;
	if (demo === null || model.state?.home !== null) return null;
	if (demo.making !== null) {
		return (
			<div class="banner banner-demo">
				<label class="demo-making">
					<span class="figures">{demoWords.making(demo.making.share)}</span>
					<progress max={1} value={demo.making.share} />
				</label>
				<p>{demoWords.makingHint}</p>
				<button
					type="button"
					class="button button-small"
					disabled={cancel.isBusy}
					onClick={() => void cancel.run(null)}
				>
					{demoWords.cancel}
				</button>
			</div>
		);
	}
	if (demo.fault === null) return null;
	return (
		<div class="banner-space">
			<FaultNote fault={demo.fault} onDismiss={() => void cancel.run(null)} />
		</div>
	);
}
