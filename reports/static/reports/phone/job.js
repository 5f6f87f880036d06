// The job as it stands on this phone: what the office last knew, with the waiting actions counted in.

export function standing(job, waiting) {
  const pieces = job.pieces.map((piece) => ({ ...piece, state: { ...piece.state, problems: [...piece.state.problems] }, pending: 0 }));
  const by = new Map(pieces.map((piece) => [piece.placement, piece]));
  for (const { action } of waiting) {
    const piece = by.get(action.placement);
    if (piece) count(piece, action, job);
  }
  return pieces;
}

function count(piece, action, job) {
  const { state } = piece;
  const { payload } = action;
  piece.pending += 1;
  switch (action.kind) {
    case "up":
      state.up = true;
      state.up_at = action.done_at;
      break;
    case "down":
      state.up = false;
      state.up_at = null;
      break;
    case "drop":
      state.drop_mm = payload.drop_mm;
      state.apart_mm = payload.apart_mm ?? 0;
      break;
    case "measured":
      state.measured = { ...payload };
      break;
    case "photo":
      state.photos += 1;
      if (payload.card_left_mm !== undefined) piece.by_photo = { text: "waits to be sent and measured", waiting: true };
      break;
    case "problem": {
      const text = job.problems.find((one) => one.what === payload.what)?.text ?? payload.what;
      state.problems.push({ what: payload.what, text, note: payload.note ?? "" });
      break;
    }
  }
}

export function next(pieces, after = -1) {
  const order = [...pieces.slice(after + 1), ...pieces.slice(0, after + 1)];
  const piece = order.find((one) => !one.state.up);
  return piece ? pieces.indexOf(piece) : -1;
}
