import { useEffect, useState } from "preact/hooks";

/** ms since the epoch, renewed at an interval: for ages and elapsed times. */
export function useClock(intervalMilliseconds: number): number {
	const [now, setNow] = useState(() => Date.now());
	useEffect(() => {
		const timer = setInterval(() => setNow(Date.now()), intervalMilliseconds);
		return () => clearInterval(timer);
	}, [intervalMilliseconds]);
	return now;
}
