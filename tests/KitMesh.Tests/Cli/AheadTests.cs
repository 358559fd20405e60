using KitMesh.Cli.Running;

namespace KitMesh.Tests.Cli;

/// <summary>Work done ahead on another thread.</summary>
public sealed class AheadTests
{
    [Fact]
    public void Read_ManyPieces_KeepsTheirOrder() =>
        Assert.Equal(Enumerable.Range(0, 3000), Ahead.Read<int, int>(Enumerable.Range(0, 1000), i => [3 * i, (3 * i) + 1, (3 * i) + 2]));

    [Fact]
    public void Read_FaultInAPiece_IsThrownAfterTheResultsBeforeIt()
    {
        var taken = new List<int>();
        Assert.Throws<InvalidDataException>(() => taken.AddRange(Ahead.Read<int, int>(Enumerable.Range(0, 100), i => i < 50 ? [i] : throw new InvalidDataException())));
        Assert.Equal(Enumerable.Range(0, 50), taken);
    }

    [Fact]
    public void Read_WhoTakesStopsEarly_TheWorkHasStoppedThen()
    {
        int done = 0;
        bool disposed = false;
        IEnumerable<int> Endless()
        {
            try
            {
                for (int i = 0; ; i++)
                {
                    yield return i;
                }
            }
            finally
            {
                Volatile.Write(ref disposed, true);
            }
        }

        Assert.Equal([0, 1, 2], Ahead.Read<int, int>(Endless(), i =>
        {
            Interlocked.Increment(ref done);
            return [i];
        }).Take(3));
        Assert.True(Volatile.Read(ref disposed));
        Assert.InRange(done, 3, 10);
    }
}
