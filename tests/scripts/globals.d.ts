// What other scripts put on the page, and what the checker does not know of the browser.

declare const htmx: {
  ajax(verb: string, address: string, options: { target: string; swap: string; values: object; select?: string }): Promise<void>;
};

/** The events of htmx that the scripts listen to. */
interface HtmxEvent extends CustomEvent<{ xhr: XMLHttpRequest; target: Element; shouldSwap: boolean; isError: boolean }> {}

interface DocumentEventMap {
  "htmx:beforeSwap": HtmxEvent;
  "htmx:afterSwap": HtmxEvent;
  "htmx:afterSettle": HtmxEvent;
  "htmx:responseError": HtmxEvent;
  "htmx:sendError": HtmxEvent;
}
