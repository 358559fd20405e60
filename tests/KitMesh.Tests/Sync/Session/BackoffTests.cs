using KitMesh.Sync.Session;

namespace KitMesh.Tests.Sync.Session;

public sealed class BackoffTests
{
    [Fact]
    public void Next_ManyFailures_GrowToTwoMinutesWithinAFifth()
    {
        var backoff = new Backoff(7);
        double expected = 1;
        for (int i = 0; i < 30; i++)
        {
            Assert.InRange(backoff.Next().TotalSeconds, expected * 0.8, expected * 1.2);
            expected = Math.Min(expected * 1.6, 120);
        }

        backoff.Reset();
        Assert.InRange(backoff.Next().TotalSeconds, 0.8, 1.2);
    }

    [Fact]
    public void Next_TwoDevices_DoNotKnockTogether() => Assert.NotEqual(new Backoff(7).Next(), new Backoff(8).Next());
}
