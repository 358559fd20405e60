namespace KitMesh.Offload.Recheck;

/// <summary>How a recheck ended.</summary>
public abstract record RecheckResult
{
    private RecheckResult()
    {
    }

    /// <summary>It ran.</summary>
    /// <param name="Outcome">What it found.</param>
    public sealed record Ran(RecheckOutcome Outcome) : RecheckResult;

    /// <summary>It could not begin.</summary>
    /// <param name="Why">Why, for a person.</param>
    public sealed record Refused(string Why) : RecheckResult;
}
