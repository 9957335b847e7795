import { useEffect, useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
import type { PersonRecord, Progress, SessionReview } from "../../app/contract.ts";
import { Choice } from "../parts/choice.tsx";
import { downloadBlob } from "../parts/download.ts";
import { Icon } from "../parts/icon.tsx";
import { FaultNote, LoadingNote } from "../parts/notes.tsx";
import { useAveragePictures } from "../parts/use-average-pictures.ts";
import { useLoaded } from "../parts/use-request.ts";
import { fitOnePage, paginate } from "../report/paginate.ts";
import { fullBlocks, onePageBlocks, type ReportBlock } from "../report/report-blocks.tsx";
import { createReport } from "../report/report-model.ts";
import { hashOf } from "../route.ts";
import { daysOf } from "../text/progress-days.ts";
import { formatDateTime } from "../text/quantity.ts";
import { reviewWords } from "../text/review-words.ts";
import { words } from "../text/words.ts";

type Form = "one-page" | "full";
type Paper = "a4" | "letter";

/** A session on paper: what is printed is what is shown. */
export function ReportScreen({ sessionId }: { readonly sessionId: number }) {
	const review = useLoaded("getSessionReview", { sessionId }, `report ${sessionId}`);
	if (review.state === "failed") return <Failed fault={review.fault} />;
	if (review.state === "loading") return <Loading />;
	const { personId } = review.value.session;
	if (personId === null) return <ReportOf review={review.value} person={null} progress={null} />;
	return <ReportWithPerson review={review.value} personId={personId} />;
}

function ReportWithPerson({
	review,
	personId,
}: {
	readonly review: SessionReview;
	readonly personId: number;
}) {
	const person = useLoaded("getPerson", { personId }, `report ${personId}`);
	const progress = useLoaded("getProgress", { personId }, `report ${personId}`);
	if (person.state === "failed") return <Failed fault={person.fault} />;
	if (progress.state === "failed") return <Failed fault={progress.fault} />;
	if (person.state === "loading" || progress.state === "loading") return <Loading />;
	return <ReportOf review={review} person={person.value} progress={progress.value} />;
}

function ReportOf({
	review,
	person,
	progress,
}: {
	readonly review: SessionReview;
	readonly person: PersonRecord | null;
	readonly progress: Progress | null;
}) {
	const [form, setForm] = useState<Form>("one-page");
	const [paper, setPaper] = useState<Paper>("a4");
	const [printedAt] = useState(() => new Date().toISOString());
	const pictures = useAveragePictures(review.sets);
	const model = useMemo(() => createReport({ review, person, progress }), [review, person, progress]);
	const days = useMemo(() => (progress === null ? null : daysOf(progress)), [progress]);
	const blocks = useMemo(() => {
		const parts = { model, pictures, days };
		return form === "full" ? fullBlocks(parts) : onePageBlocks(parts);
	}, [form, model, pictures, days]);
	const { measuring, pages, leftOut } = usePages(blocks, form, paper);
	const fileName = fileNameOf(review);
	// What browsers propose as the name of the file.
	useEffect(() => {
		document.title = fileName;
	}, [fileName]);

	return (
		<div class={`report report-${paper}`}>
			<h1 class="visually-hidden">{reviewWords.report.title}</h1>
			<div class="report-tools">
				<a class="button button-quiet" href={hashOf({ screen: "review", sessionId: review.session.id })}>
					<Icon name="left" />
					{reviewWords.review.toReview}
				</a>
				<Choice
					label={reviewWords.report.form}
					options={[
						{ value: "one-page", text: reviewWords.report.onePage },
						{ value: "full", text: reviewWords.report.full },
					]}
					value={form}
					onChoose={setForm}
				/>
				<Choice
					label={reviewWords.report.paper}
					options={[
						{ value: "a4", text: reviewWords.report.a4 },
						{ value: "letter", text: reviewWords.report.letter },
					]}
					value={paper}
					onChoose={setPaper}
				/>
				<PrintButtons isReady={pictures.isSettled} fileName={`${fileName}.pdf`} />
			</div>
			{pages.map((page, i) => (
				<article
					key={page[0]?.id ?? i}
					class="report-page"
					aria-label={reviewWords.report.page(i + 1, pages.length)}
				>
					<PageHead isSimulated={model.isSimulated} />
					<div class="report-body">
						{page.map((block, k) => (
							<div key={block.id} class="report-block">
								{block.draw(false, k === 0)}
							</div>
						))}
						{leftOut.length > 0 && (
							<p class="report-note report-left-out">{reviewWords.report.leftOut(leftOut.join(", "))}</p>
						)}
					</div>
					<footer class="report-foot">
						<span>
							{review.session.personCode ?? ""} · {formatDateTime(review.session.startedAt)}
						</span>
						<strong>{reviewWords.report.notDiagnosis}</strong>
						<span>
							{reviewWords.report.printedAt(formatDateTime(printedAt))} ·{" "}
							{reviewWords.report.page(i + 1, pages.length)}
						</span>
					</footer>
				</article>
			))}
			<div ref={measuring} class="report-measuring" aria-hidden="true">
				<div class="report-page">
					<PageHead isSimulated={model.isSimulated} />
					<div class="report-body report-probe" />
					<footer class="report-foot">
						<span>{words.product}</span>
					</footer>
				</div>
				<div class="report-body report-blocks">
					{blocks.map((block) => (
						<div key={block.id} class="report-block">
							{block.draw(true, false)}
						</div>
					))}
				</div>
			</div>
		</div>
	);
}

/** A browser saves through its own print dialog; the desktop window makes the file itself. */
function PrintButtons({ isReady, fileName }: { readonly isReady: boolean; readonly fileName: string }) {
	const [state, setState] = useState<"idle" | "making" | "failed">("idle");
	const host = window.tautline;

	async function save(from: NonNullable<typeof host>): Promise<void> {
		setState("making");
		const made = await from.makePdf();
		if (made instanceof Uint8Array) {
			downloadBlob(new Blob([new Uint8Array(made)], { type: "application/pdf" }), fileName);
		}
		setState(made instanceof Uint8Array ? "idle" : "failed");
	}

	const hint = host === undefined ? reviewWords.report.printHint : "";
	return (
		<>
			{host !== undefined && (
				<button
					type="button"
					class="button button-primary"
					disabled={!isReady || state === "making"}
					onClick={() => void save(host)}
				>
					{state === "making" ? reviewWords.report.making : reviewWords.report.save}
				</button>
			)}
			<button
				type="button"
				class={host === undefined ? "button button-primary" : "button"}
				disabled={!isReady}
				onClick={() => window.print()}
			>
				{host === undefined ? reviewWords.report.printOrSave : reviewWords.report.print}
			</button>
			<p class="field-hint" role="status">
				{!isReady ? reviewWords.report.notReady : state === "failed" ? reviewWords.report.notMade : hint}
			</p>
		</>
	);
}

/** Says what the file is without a name: a code and a day. */
function fileNameOf({ session }: SessionReview): string {
	const code = (session.personCode ?? "session").replace(/[^\p{L}\p{N}_-]+/gu, "-");
	return `report-${code}-${session.startedAt.slice(0, 10)}`;
}

function PageHead({ isSimulated }: { readonly isSimulated: boolean }) {
	return (
		<header class="report-head">
			<strong>{words.product}</strong>
			{isSimulated && <span class="report-mark">{reviewWords.report.simulated}</span>}
		</header>
	);
}

/** Room kept for saying what a single page left out, and for a table's columns at the top of a page, CSS px. */
const LEFT_OUT_ROOM = 22;
const TABLE_HEAD_ROOM = 26;

/** Measures the blocks where they stand unseen, and shares them out over pages before anything is painted. */
function usePages(blocks: readonly ReportBlock[], form: Form, paper: Paper) {
	const measuring = useRef<HTMLDivElement>(null);
	const [pages, setPages] = useState<readonly (readonly ReportBlock[])[]>([]);
	const [leftOut, setLeftOut] = useState<readonly string[]>([]);
	useLayoutEffect(() => {
		const host = measuring.current!;
		const room = host.querySelector(".report-probe")!.clientHeight;
		const elements = [...host.querySelectorAll(".report-blocks > .report-block")];
		const heights = elements.map((element) => element.getBoundingClientRect().height);
		if (form === "full") {
			const sized = blocks.map(({ keepWithNext }, i) => ({ keepWithNext, height: heights[i]! }));
			setPages(paginate(sized, room - TABLE_HEAD_ROOM).map(([from, to]) => blocks.slice(from, to)));
			setLeftOut([]);
			return;
		}
		const groups = [...new Set(blocks.map(({ group }) => group))].map((group) => ({
			group,
			rank: blocks.find((block) => block.group === group)!.rank,
			height: blocks.reduce((sum, block, i) => sum + (block.group === group ? heights[i]! : 0), 0),
		}));
		const stays = fitOnePage(groups, room - LEFT_OUT_ROOM);
		const kept = new Set(groups.filter((_, i) => stays[i]).map(({ group }) => group));
		setPages([blocks.filter(({ group }) => kept.has(group))]);
		setLeftOut(groups.filter((_, i) => !stays[i]).map(({ group }) => reviewWords.report.groupNames(group)));
	}, [blocks, form, paper]);
	return { measuring, pages, leftOut };
}

function Failed({ fault }: { readonly fault: Parameters<typeof FaultNote>[0]["fault"] }) {
	return (
		<div class="empty">
			<h1 class="visually-hidden">{reviewWords.report.title}</h1>
			<FaultNote fault={fault} />
		</div>
	);
}

function Loading() {
	return (
		<>
			<h1 class="visually-hidden">{reviewWords.report.title}</h1>
			<LoadingNote text={reviewWords.report.loading} />
		</>
	);
}
