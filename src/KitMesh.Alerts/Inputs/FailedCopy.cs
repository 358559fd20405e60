using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Alerts.Inputs;

/// <summary>A copy that failed and has not been made good since.</summary>
/// <param name="Report">What failed.</param>
/// <param name="At">When.</param>
/// <param name="GoodCopies">Verified copies of the clip that are left elsewhere.</param>
public sealed record FailedCopy(CopyFailed Report, Instant At, int GoodCopies);
