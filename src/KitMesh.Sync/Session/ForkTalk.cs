using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Sync.Session;

/// <summary>The part of a session that looks for forks: questions wait here and are answered one frame at a time.</summary>
/// <param name="journal">What is held here.</param>
/// <remarks>Everything waiting is bounded. What does not fit is passed over and found again in the next session.</remarks>
internal sealed class ForkTalk(IJournalView journal)
{
    private const int MaxQuestions = 256;
    private const int MaxTellings = 4_096;

    private readonly Queue<CompareFrame> _questions = new();
    private readonly Queue<(OriginId Origin, SequenceRanges Ranges)> _asks = new();
    private readonly Queue<(OriginId Origin, SequenceRange Range)> _tellings = new();
    private IEnumerator<SessionFrame>? _answers;

    /// <summary>Whether nothing is left to say.</summary>
    public bool IsEmpty => _answers is null && _questions.Count == 0 && _asks.Count == 0 && _tellings.Count == 0;

    /// <summary>The peer asked.</summary>
    public void Receive(CompareFrame question)
    {
        if (_questions.Count < MaxQuestions)
        {
            _questions.Enqueue(question);
        }
    }

    /// <summary>Ask the peer about some ranges.</summary>
    public void Ask(OriginId origin, SequenceRanges ranges)
    {
        if (!ranges.IsEmpty && _asks.Count < MaxTellings)
        {
            _asks.Enqueue((origin, ranges));
        }
    }

    /// <summary>Tell the peer what is held here in a short range, as an answer.</summary>
    public void Tell(OriginId origin, SequenceRange range)
    {
        if (_tellings.Count < MaxTellings)
        {
            _tellings.Enqueue((origin, range));
        }
    }

    /// <summary>The next frame to send, or null.</summary>
    public SessionFrame? Next()
    {
        if (_asks.TryDequeue(out (OriginId Origin, SequenceRanges Ranges) ask))
        {
            return ForkSearch.Ask(journal, ask.Origin, ask.Ranges);
        }

        if (_tellings.TryDequeue(out (OriginId Origin, SequenceRange Range) telling))
        {
            return ForkSearch.Tell(journal, telling.Origin, telling.Range, answer: true);
        }

        while (_answers is not null || _questions.Count > 0)
        {
            _answers ??= ForkSearch.Answer(journal, _questions.Dequeue()).GetEnumerator();
            if (_answers.MoveNext())
            {
                return _answers.Current;
            }

            _answers.Dispose();
            _answers = null;
        }

        return null;
    }
}
