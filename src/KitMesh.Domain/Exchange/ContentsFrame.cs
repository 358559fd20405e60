using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Exchange;

/// <summary>Everything that the sender holds in a range.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="Range">The range that is told whole.</param>
/// <param name="Contents">Sorted; two entries of one sequence are a fork. At most <see cref="MaxContents"/>.</param>
/// <param name="Answer">True in an answer to such a frame: it is not answered again.</param>
public sealed record ContentsFrame(OriginId Origin, SequenceRange Range, ValueList<ReportContent> Contents, bool Answer) : SessionFrame
{
    /// <summary>The most entries of one frame.</summary>
    public const int MaxContents = 1_024;
}
