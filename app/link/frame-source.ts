import type { Result } from "../../core/result.ts";
import type {
	BandAbility,
	BandStatus,
	BoardIdentity,
	DriveConfiguration,
	Frame,
} from "../../core/wire/frame.ts";
import type { Fault, LinkState } from "../contract.ts";

/** Without `bandIndex` a command goes to every band of the board. */
export type BoardCommand =
	| { readonly command: "start"; readonly bandIndex?: number }
	| { readonly command: "stop"; readonly bandIndex?: number }
	| { readonly command: "set-current"; readonly milliamp: number; readonly bandIndex?: number }
	| { readonly command: "set-frequency"; readonly hertz: number; readonly bandIndex?: number }
	| { readonly command: "set-gain"; readonly gain: number; readonly bandIndex?: number }
	| { readonly command: "contact-check"; readonly bandIndex?: number };

export type BoardStatus = BandStatus;

/** What happens on a link. A frame is valid only during the call: copy what is kept. */
export interface FrameSourceEvents {
	onState(state: LinkState): void;
	onBoard(board: BoardIdentity): void;
	/** What a band can be set to; told with every hello, so possibly again. */
	onAbility?(ability: BandAbility): void;
	/** Told before the first frame that uses it, and again whenever settings change (with a new number). */
	onConfiguration(configuration: DriveConfiguration): void;
	/** `receivedAt`: ms since the epoch when the line's last byte arrived; `lostBefore`: frames missing just before. */
	onFrame(frame: Frame, receivedAt: number, lostBefore: number): void;
	/** Contact impedance of each electrode, ohm; NaN where unreadable. Valid only during the call. */
	onContacts(bandIndex: number, ohm: Float64Array): void;
	onStatus(status: BoardStatus): void;
}

export interface LinkCounters {
	readonly frames: number;
	readonly lost: number;
	/** Skipped lines by cause, see `core/wire/bad-line.ts`. */
	readonly bad: Readonly<Record<string, number>>;
}

/** Anything frames come from: a serial board, the simulated band, a recorded session. */
export interface FrameSource {
	/** Starts connecting and keeps reconnecting until disposed; every change is told through the events. Settles
	 *  after the first attempt, whether it worked or not. */
	open(): Promise<void>;
	/** Resolves with the board's acknowledgement, its refusal or its silence. Never rejects. */
	send(command: BoardCommand): Promise<Result<null, Fault>>;
	counters(): LinkCounters;
	/** Stops the board's current if it can still be reached, then lets go of the port. Safe to call twice. */
	dispose(): Promise<void>;
}
