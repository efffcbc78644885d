import { useStore } from "../house.ts";

/** The last thing that happened and stays worth knowing; it goes when what it speaks of changes. */
export function Notice() {
  const store = useStore();
  const notice = store.notice.value;
  return (
    <div class="notice-place" role="status">
      {notice && (
        <div class="notice" data-tone={notice.tone}>
          <p>{notice.text}</p>
          {notice.action && (
            <button type="button" class="quiet" onClick={notice.action.act}>
              {notice.action.label}
            </button>
          )}
          <button type="button" class="quiet" onClick={store.dismiss}>
            Dismiss
          </button>
        </div>
      )}
    </div>
  );
}
