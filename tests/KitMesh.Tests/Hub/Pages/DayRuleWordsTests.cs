using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Hub.Pages;
using NodaTime;

namespace KitMesh.Tests.Hub.Pages;

/// <summary>How a day stands under its copy rule, in words on the footage page.</summary>
public sealed class DayRuleWordsTests
{
    [Theory]
    [InlineData(4, 4, 0, "✓ met by all")]
    [InlineData(4, 3, 0, "✗ short: 1 of 4")]
    [InlineData(4, 0, 4, "↻ recheck: 4 of 4 overdue")]
    [InlineData(4, 1, 2, "✗ short: 1 of 4; ↻ recheck: 2 of 4 overdue")]
    public void RuleOf_ADay_TellsOverdueFromShort(int clips, int met, int overdue, string words) =>
        Assert.Equal(words, PageText.RuleOf(
            new DayRow(new LocalDate(2027, 2, 9), null, clips, ByteCount.FromGigabytes(4), Duration.Zero, met, 0, 0, []) { OverdueClips = overdue }));
}
