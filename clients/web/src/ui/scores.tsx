// What one side has: a number for each level of the rules, and its penalties as strokes and a number.
import type { BoardSide, Level } from "../gen/honbu/v1/hub_pb";
import { levelCount, levelId, levelWord, type SideName } from "../sides";

interface ScoresProps {
    side: SideName;
    board: BoardSide | undefined;
    levels: readonly Level[];
}

export function Scores({ side, board, levels }: ScoresProps) {
    return (
        <dl class="scores">
            {levels.map((level) => (
                <div class="score" key={level} data-n={levelCount(board, level)}>
                    <dt>{levelWord(level)}</dt>
                    <dd data-testid={`score-${levelId(level)}-${side}`}>{levelCount(board, level)}</dd>
                </div>
            ))}
        </dl>
    );
}

interface PenaltiesProps {
    side: SideName;
    board: BoardSide | undefined;
}

export function Penalties({ side, board }: PenaltiesProps) {
    const count = board?.shido ?? 0;
    return (
        <div class="penalties" data-n={count}>
            <span class="penalty-word">shido</span>
            <span class="strokes" aria-hidden="true">
                {Array.from({ length: count }, (_, i) => <i class="stroke" key={i} />)}
            </span>
            <b data-testid={`shido-${side}`}>{count}</b>
        </div>
    );
}
