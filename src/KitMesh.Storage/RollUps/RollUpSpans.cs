using NodaTime;

namespace KitMesh.Storage.RollUps;

/// <summary>Lengths of the buckets.</summary>
public static class RollUpSpans
{
    /// <summary>The length of a bucket.</summary>
    /// <param name="span">The bucket.</param>
    public static Duration Length(this RollUpSpan span) => span switch
    {
        RollUpSpan.Minute => Duration.FromMinutes(1),
        RollUpSpan.Hour => Duration.FromHours(1),
        RollUpSpan.Day => Duration.FromDays(1),
        _ => throw new ArgumentOutOfRangeException(nameof(span), span, "There is no such span."),
    };
}
