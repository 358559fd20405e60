using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>One figure behind the odds of loss, with its range and its source; it goes before the published one.</summary>
/// <param name="Id">Which figure: a name that the odds know, such as bitErrorRate.</param>
/// <param name="Low">Its kind end.</param>
/// <param name="Best">Its middle.</param>
/// <param name="High">Its harsh end.</param>
/// <param name="Source">Where it is from and of which date.</param>
public sealed record LossFigure(KitId Id, double Low, double Best, double High, string Source) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.LossFigure;
}
