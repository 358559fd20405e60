using KitMesh.Disk;
using KitMesh.Domain.Exchange;

namespace KitMesh.Sync.Journal;

/// <summary>One caller's wish in the writer's queue.</summary>
/// <param name="stage">Gathers it, on the writer's thread.</param>
/// <param name="isAlone">Whether it must not share a commit with others.</param>
internal sealed class JournalRequest(Func<JournalRequest, StageOutcome> stage, bool isAlone)
{
    internal TaskCompletionSource<OwnAppend> Done { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);

    internal bool IsAlone => isAlone;

    internal StageOutcome Staged { get; private set; }

    /// <summary>The sequences given to own reports.</summary>
    internal SequenceRange? Sequences { get; set; }

    internal void Stage() => Staged = stage(this);

    internal void Complete(Journal journal, DiskResult committed)
    {
        AppendResult result = journal.ToResult(Staged, committed);
        Done.TrySetResult(new OwnAppend(result, result is AppendResult.Durable ? Sequences : null));
    }
}
