namespace KitMesh.Domain.Results;

/// <summary>How a card stands under the copy rule.</summary>
public enum CardState
{
    /// <summary>At least one of its clips has too little proof: do not format.</summary>
    OnHold = 0,

    /// <summary>Every clip on it meets the copy rule, or a keeper released it by name.</summary>
    MayBeFormatted = 1,

    /// <summary>It was formatted, and what was on it meets the copy rule still.</summary>
    Formatted = 2,

    /// <summary>It was formatted, and something that was on it does not meet the copy rule now: an alert.</summary>
    FormattedShort = 3,

    /// <summary>No station ever read it: nothing can be said, so do not format.</summary>
    NotSeen = 4,
}
