using System.Collections.Concurrent;
using KitMesh.Devices;
using KitMesh.Domain.Reports;

namespace KitMesh.Tests.Devices;

public sealed class FaultLatchTests
{
    private static readonly KitId Bank = KitId.Parse("ridge bank");

    private readonly Kept _sink = new();

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Raise_SameFaultAtEachPoll_IsSaidOnce()
    {
        var latch = new FaultLatch("reader", _sink);

        await latch.RaiseAsync("a", Bank, "silent", default, Stop);
        await latch.RaiseAsync("a", Bank, "silent", default, Stop);
        await latch.RaiseAsync("a", Bank, "garbage", default, Stop);

        Assert.Equal(["silent", "garbage"], _sink.Said.Select(f => f.Message));
    }

    [Fact]
    public async Task Clear_OneOfTwoPartsOfAnItem_LeavesTheOtherStanding()
    {
        var latch = new FaultLatch("reader", _sink);

        await latch.RaiseAsync("a", Bank, "probe a is gone", default, Stop);
        await latch.RaiseAsync("b", Bank, "probe b is gone", default, Stop);
        await latch.ClearAsync("a", Bank, Stop);
        await latch.ClearAsync("b", Bank, Stop);

        Assert.Equal([false, false, false, true], _sink.Said.Select(f => f.Cleared));
        Assert.Equal("probe b is gone Still: probe a is gone", _sink.Said[1].Message);
        Assert.Equal("Still: probe b is gone", _sink.Said[2].Message);
    }

    [Fact]
    public async Task Clear_FirstGoodAnswerAfterAStart_ClearsWhatAFormerProcessLeft()
    {
        var latch = new FaultLatch("reader", _sink);

        await latch.ClearAsync("a", Bank, Stop);
        await latch.ClearAsync("a", Bank, Stop);

        ReaderFault said = Assert.Single(_sink.Said);
        Assert.True(said.Cleared);
        Assert.Equal(Bank, said.Subject);
    }

    [Fact]
    public async Task Raise_LongAnswer_KeepsItsBeginning()
    {
        var latch = new FaultLatch("reader", _sink);

        await latch.RaiseAsync("a", null, "garbage", new byte[5000], Stop);

        Assert.Equal(ReaderFault.MaxRaw, _sink.Said[0].Raw.Count);
    }

    private sealed class Kept : ISampleSink
    {
        private readonly ConcurrentQueue<ReaderFault> _said = new();

        public IReadOnlyList<ReaderFault> Said => [.. _said];

        public ValueTask WriteAsync(Sample sample, CancellationToken stop)
        {
            _said.Enqueue((ReaderFault)sample.Body);
            return ValueTask.CompletedTask;
        }

        public ValueTask FlushAsync(CancellationToken stop) => ValueTask.CompletedTask;
    }
}
