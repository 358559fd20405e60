using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Kit;

/// <summary>What must be true before a card may be formatted.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Copies">Verified copies, from 1. Common practice, no published source: two at the least, three are better.</param>
/// <param name="Drives">Different drives that hold them.</param>
/// <param name="Cases">Different cases that hold those drives.</param>
/// <param name="RecheckAge">A copy not proven for longer than this no longer counts; null for no limit.</param>
/// <param name="EveningHour">Civil hour by which the cards of the day should be released.</param>
/// <param name="MediaTypes">Different media (flash, spinning) among those drives; 0 when it does not matter.</param>
public sealed record CopyRule(KitId Id, int Copies, int Drives, int Cases, Duration? RecheckAge, int EveningHour, int MediaTypes = 0)
    : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.CopyRule;
}
