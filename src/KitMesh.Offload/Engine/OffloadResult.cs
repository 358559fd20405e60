namespace KitMesh.Offload.Engine;

/// <summary>How an offload ended.</summary>
public abstract record OffloadResult
{
    private OffloadResult()
    {
    }

    /// <summary>It ran; what came of each clip is in the outcome.</summary>
    /// <param name="Outcome">The outcome.</param>
    public sealed record Ran(OffloadOutcome Outcome) : OffloadResult;

    /// <summary>It was not begun; nothing was written.</summary>
    /// <param name="Problems">Why not, for a person.</param>
    public sealed record Refused(IReadOnlyList<string> Problems) : OffloadResult;
}
