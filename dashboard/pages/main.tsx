// The browser's entry: takes over the page that arrived, then follows links without leaving it.
import { hydrate } from "preact";
import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { NotAnswered, Refused } from "./ask/ask.ts";
import { askerByFetch } from "./ask/ask-by-fetch.ts";
import { Frame, titleOf } from "./frame/frame.tsx";
import { Live, useLive } from "./frame/live.ts";
import { leafOf, loadPage, type PageData } from "./frame/page.ts";
import { changedEvent } from "./setup/send.ts";
import "@fontsource-variable/source-serif-4/wght.css";
import "@fontsource-variable/source-serif-4/wght-italic.css";
import "./styles/tokens.css";
import "./styles/page.css";
import "./styles/charts.css";
import "./styles/service.css";
import "./styles/setup.css";
import "./styles/print.css";

function App({ first }: { first: PageData }) {
  const [page, setPage] = useState(first);
  const [isOnItsWay, setOnItsWay] = useState(false);
  const [said, setSaid] = useState("");
  const [problem, setProblem] = useState<string | null>(null);
  const latest = useRef(0);
  const live = useLive();

  const show = useCallback(
    async (address: URL, { isMove }: { isMove: boolean }) => {
      const turn = ++latest.current;
      if (isMove) setOnItsWay(true);
      try {
        const query = Object.fromEntries(address.searchParams);
        const next = await loadPage(askerByFetch, {
          path: address.pathname,
          query,
          locale: first.locale,
          may: first.may,
          who: first.who,
        });
        if (turn !== latest.current) return;
        setPage((old) => ({ ...next, data: JSON.stringify(old.data) === JSON.stringify(next.data) ? old.data : next.data }));
        setProblem(null);
        document.title = titleOf(next);
        if (isMove) {
          setSaid(`${titleOf(next)} is shown`);
          arrive(address);
        }
      } catch (error) {
        if (turn !== latest.current) return;
        // Whoever was signed out meanwhile is shown the door by the server.
        if (error instanceof Refused) {
          location.assign(address);
          return;
        }
        if (!(error instanceof NotAnswered)) throw error;
        setProblem(`That could not be fetched: ${error.message}. What you see is from before.`);
      } finally {
        if (turn === latest.current) setOnItsWay(false);
      }
    },
    [first.locale, first.may, first.who],
  );

  useEffect(() => {
    const goTo = (address: URL): boolean => {
      if (address.origin !== location.origin || !leafOf(address.pathname)) return false;
      history.pushState(null, "", address);
      void show(address, { isMove: true });
      return true;
    };
    const onClick = (event: MouseEvent) => {
      const link = event.target instanceof Element ? event.target.closest("a") : null;
      if (
        !link ||
        event.defaultPrevented ||
        event.button !== 0 ||
        event.metaKey ||
        event.ctrlKey ||
        event.shiftKey ||
        event.altKey
      )
        return;
      if (link.target || link.hasAttribute("download") || link.getAttribute("href")?.startsWith("#")) return;
      if (goTo(new URL(link.href))) event.preventDefault();
    };
    const onSubmit = (event: SubmitEvent) => {
      const form = event.target;
      if (!(form instanceof HTMLFormElement) || event.defaultPrevented || form.method !== "get") return;
      const address = new URL(form.action);
      address.search = new URLSearchParams([...new FormData(form)].map(([name, value]) => [name, String(value)])).toString();
      if (goTo(address)) event.preventDefault();
    };
    const onPop = () => void show(new URL(location.href), { isMove: false });
    addEventListener(changedEvent, onPop);
    document.addEventListener("click", onClick);
    document.addEventListener("submit", onSubmit);
    addEventListener("popstate", onPop);
    return () => {
      document.removeEventListener("click", onClick);
      document.removeEventListener("submit", onSubmit);
      removeEventListener("popstate", onPop);
      removeEventListener(changedEvent, onPop);
    };
  }, [show]);

  useEffect(() => {
    if (live.revision > 0) void show(new URL(location.href), { isMove: false });
  }, [live.revision, show]);

  useEffect(() => {
    document.body.dataset.ready = "";
  }, []);

  return (
    <Live.Provider value={live}>
      <Frame page={page} live={live} isOnItsWay={isOnItsWay} problem={problem} said={said} />
    </Live.Provider>
  );
}

/** A new leaf starts at its top and is read from there; another period of the same leaf leaves the reader in place. */
let before = location.pathname;
function arrive(address: URL): void {
  if (before === address.pathname) return;
  before = address.pathname;
  scrollTo(0, 0);
  document.getElementById("leaf")?.focus({ preventScroll: true });
}

const root = document.getElementById("page");
const data = document.getElementById("page-data")?.textContent;
if (root && data) hydrate(<App first={JSON.parse(data) as PageData} />, root);
